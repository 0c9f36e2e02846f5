/** Parts of the drawings, moved. */

/** Middle and greatest height of bars, as in `hill/picture.rs`. */
const MIDDLE = 90;
const HALF = 66;

export function put(line: SVGLineElement | undefined, ax: number, ay: number, bx: number, by: number): void {
  line?.setAttribute("x1", ax.toFixed(1));
  line?.setAttribute("y1", ay.toFixed(1));
  line?.setAttribute("x2", bx.toFixed(1));
  line?.setAttribute("y2", by.toFixed(1));
}

export function bar(rect: SVGRectElement | undefined, part: number): void {
  const tall = HALF * Math.min(1, Math.max(-1, part));
  rect?.setAttribute("y", (tall > 0 ? MIDDLE - tall : MIDDLE).toFixed(1));
  rect?.setAttribute("height", Math.max(0.5, Math.abs(tall)).toFixed(1));
  rect?.classList.toggle("under", part < 0);
}

/** The elements of a section that a selector names. */
export function all<E extends Element>(section: ParentNode, selector: string): E[] {
  return [...section.querySelectorAll<E>(selector)];
}
