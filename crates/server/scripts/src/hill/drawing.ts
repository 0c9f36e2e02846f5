/** Plan and profile: from places along the line to the units of a drawing, as `hill/picture.rs` lays them out. */

/** How far a train stands above the profile, as in `hill/picture.rs`. */
const ABOVE = 4;

export type Spot = [number, number];

/** A drawing of the train, plan or profile. */
export interface Drawing {
  readonly svg: SVGSVGElement;
  readonly cars: SVGLineElement[];
  /** From a place along the line and where that is, in metres, to units of the drawing. */
  readonly spot: (s: number, at: readonly [number, number, number]) => Spot;
}

/** Those that are shown: what the style sheet hides is left as it is, and drawn when the page is resized. */
export function seen(drawings: readonly Drawing[]): Drawing[] {
  return drawings.filter((own) => own.svg.getClientRects().length > 0);
}

function numbers(text: string | undefined): number[] {
  return (text ?? "").split(" ").map(Number);
}

export function onPlan(svg: SVGSVGElement): Drawing {
  const [a = 1, b = 0, c = 0, d = 1, e = 0, f = 0] = numbers(svg.dataset["to"]);
  return {
    svg,
    cars: [...svg.querySelectorAll<SVGLineElement>("g.train line")],
    spot: (_, [x, y]) => [a * x + c * y + e, b * x + d * y + f],
  };
}

export function onProfile(svg: SVGSVGElement): Drawing {
  const [scale = 1, edge = 0] = numbers(svg.dataset["along"]);
  const [rise = 1, start = 0] = numbers(svg.dataset["up"]);
  return {
    svg,
    cars: [...svg.querySelectorAll<SVGLineElement>("g.train line")],
    spot: (s, [, , height]) => [edge + scale * s, rise * height + start - ABOVE],
  };
}

export function put(line: SVGLineElement | undefined, a: Spot, b: Spot): void {
  line?.setAttribute("x1", a[0].toFixed(1));
  line?.setAttribute("y1", a[1].toFixed(1));
  line?.setAttribute("x2", b[0].toFixed(1));
  line?.setAttribute("y2", b[1].toFixed(1));
}
