/** The drawn line: where a place along it stands in plan and in height, in metres. */

/** Numbers of a point: place, x and y of the plan, height. */
export const POINT = 4;

export class Course {
  private readonly count: number;

  constructor(private readonly points: Float32Array) {
    this.count = points.length / POINT;
  }

  /** A place on the line: x and y of the plan and height. */
  at(s: number): [number, number, number] {
    const { points } = this;
    let low = 0;
    let high = this.count - 1;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if ((points[POINT * middle] ?? 0) < s) low = middle;
      else high = middle;
    }
    const a = POINT * low;
    const b = POINT * high;
    const from = points[a] ?? 0;
    const to = points[b] ?? from;
    const part = to > from ? Math.min(1, Math.max(0, (s - from) / (to - from))) : 0;
    const mix = (k: number): number => {
      const left = points[a + k] ?? 0;
      return left + part * ((points[b + k] ?? left) - left);
    };
    return [mix(1), mix(2), mix(3)];
  }
}
