/** One train on its drawings and charts, drawn anew from its film. */
import { Bars } from "./bars.ts";
import { type Drawing, onPlan, onProfile, put, seen } from "./drawing.ts";
import type { Film } from "./film.ts";

export class Stage {
  private readonly drawings: Drawing[];
  private readonly forces: Bars;
  private readonly lefts: Bars;
  private readonly least: number;
  private readonly names: string[];
  private readonly where: HTMLElement | null;
  private readonly wasLittle: boolean[] = [];

  constructor(
    section: HTMLElement,
    number: string,
    private readonly film: Film,
  ) {
    const all = <E extends Element>(selector: string): E[] => [
      ...section.querySelectorAll<E>(`[data-stage="${number}"] ${selector}`),
    ];
    this.drawings = [
      ...all<SVGSVGElement>("svg.plan").map(onPlan),
      ...all<SVGSVGElement>("svg.profile").map(onProfile),
    ];
    this.forces = new Bars(all<SVGSVGElement>("svg.bars.force")[0]);
    this.lefts = new Bars(all<SVGSVGElement>("svg.bars.left")[0]);
    const charts = section.querySelector<HTMLElement>(`.charts[data-stage="${number}"]`);
    this.least = Number(charts?.dataset["least"] ?? 0);
    this.names = (charts?.dataset["names"] ?? "").split("|");
    this.where = charts?.querySelector("p.where") ?? null;
  }

  get first(): number {
    return this.film.heads[0] ?? 0;
  }

  get last(): number {
    return this.film.heads[this.film.places - 1] ?? this.first;
  }

  get places(): number {
    return this.film.places;
  }

  /** With the head at a place in metres, or as near to it as this train comes. */
  draw(metres: number): void {
    const { film } = this;
    const place = film.nearest(metres);
    const drawings = seen(this.drawings);
    for (let vehicle = 0; vehicle < film.vehicles; vehicle += 1) {
      const [front, rear] = film.ends(place, vehicle);
      const [a, b] = [film.course.at(front), film.course.at(rear)];
      const left = film.margin(place, vehicle);
      const little = left < this.least;
      const turned = this.wasLittle[vehicle] !== little;
      this.wasLittle[vehicle] = little;
      for (const own of drawings) put(own.cars[vehicle], own.spot(front, a), own.spot(rear, b));
      if (turned) for (const own of this.drawings) own.cars[vehicle]?.classList.toggle("little", little);
      this.forces.set(vehicle, film.force(place, vehicle));
      this.lefts.set(vehicle, left);
    }
  }

  /** Says where it stands. */
  say(metres: number): void {
    if (this.where !== null) this.where.textContent = this.inWords(this.film.nearest(metres));
  }

  private inWords(place: number): string {
    const { film } = this;
    let worst = 0;
    for (let vehicle = 1; vehicle < film.vehicles; vehicle += 1) {
      if (film.margin(place, vehicle) < film.margin(place, worst)) worst = vehicle;
    }
    const margin = (Math.floor(film.margin(place, worst) * 100) / 100).toFixed(2).replace("-", "−");
    const name = this.names[worst] ?? `vehicle ${worst + 1}`;
    return `The head stands at ${(film.heads[place] ?? 0).toFixed(2)} m. Least is left for ${name}: margin ${margin} here.`;
  }

  /** The vehicle nearest to a click on a plan. */
  under(event: MouseEvent, metres: number): number {
    const own = this.drawings.find((drawing) => drawing.svg === event.currentTarget);
    const matrix = own?.svg.getScreenCTM()?.inverse();
    if (own === undefined || !matrix) return -1;
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix);
    const place = this.film.nearest(metres);
    let best = -1;
    let least = 20;
    for (let vehicle = 0; vehicle < this.film.vehicles; vehicle += 1) {
      const [front, rear] = this.film.ends(place, vehicle);
      const middle = (front + rear) / 2;
      const [x, y] = own.spot(middle, this.film.course.at(middle));
      const far = Math.hypot(x - point.x, y - point.y);
      if (far < least) {
        least = far;
        best = vehicle;
      }
    }
    return best;
  }
}
