/** The drawn line: where a place along it stands in plan and profile, as `hill/picture.rs` lays it out. */

/** The drawing's own units, as in `hill/picture.rs`. */
export const WIDTH = 1000;
export const EDGE = 30;

/** Numbers of a point: place, x and y of the plan, y of the profile. */
export const POINT = 4;

export class Course {
  private readonly count: number;

  constructor(private readonly points: Float32Array) {
    this.count = points.length / POINT;
  }

  /** Coordinates of a place on the line: x and y of the plan, y of the profile. */
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

  /** Where a place stands across the profile. */
  across(s: number): number {
    const first = this.points[0] ?? 0;
    const last = this.points[POINT * (this.count - 1)] ?? first + 1;
    return EDGE + ((WIDTH - 2 * EDGE) * (s - first)) / (last - first);
  }
}
