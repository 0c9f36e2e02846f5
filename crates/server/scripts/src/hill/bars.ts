/** Bars up and down from an axis, a vehicle each. */
export class Bars {
  private readonly rects: SVGRectElement[];
  private readonly most: number;
  private readonly middle: number;
  private readonly half: number;
  private readonly below: number;

  constructor(svg: SVGSVGElement | undefined) {
    this.rects = [...(svg?.querySelectorAll("rect") ?? [])];
    const own = (name: string): number => Number(svg?.dataset[name] ?? 1);
    this.most = own("most");
    this.middle = own("middle");
    this.half = own("half");
    this.below = own("below");
  }

  set(vehicle: number, value: number): void {
    const rect = this.rects[vehicle];
    const tall = this.half * Math.min(1, Math.max(-this.below, value / this.most));
    rect?.setAttribute("y", (tall > 0 ? this.middle - tall : this.middle).toFixed(1));
    rect?.setAttribute("height", Math.max(0.5, Math.abs(tall)).toFixed(1));
    rect?.classList.toggle("under", value < 0);
  }
}
