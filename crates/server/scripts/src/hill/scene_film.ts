/** Where every vehicle is and how every coupling stands over time, as `hill/scene.rs` lays it out in bytes. */
import { Course, POINT } from "./course.ts";

const HEAD_BYTES = 16;

export class SceneFilm {
  readonly pictures: number;
  readonly vehicles: number;
  readonly times: Float32Array;
  readonly course: Course;
  private readonly newtons: number;
  private readonly halves: Float32Array;
  private readonly middles: Float32Array;
  private readonly forces: Int16Array;
  private readonly coupled: Uint8Array;

  constructor(bytes: ArrayBuffer) {
    const head = new DataView(bytes);
    this.pictures = head.getUint32(0, true);
    this.vehicles = head.getUint32(4, true);
    const pointCount = head.getUint32(8, true);
    this.newtons = head.getFloat32(12, true);
    let at = HEAD_BYTES;
    const floats = (count: number): Float32Array => {
      const own = new Float32Array(bytes, at, count);
      at += 4 * count;
      return own;
    };
    this.times = floats(this.pictures);
    this.course = new Course(floats(POINT * pointCount));
    this.halves = floats(this.vehicles);
    this.middles = floats(this.pictures * this.vehicles);
    const count = this.pictures * this.couplings;
    this.forces = new Int16Array(bytes, at, count);
    this.coupled = new Uint8Array(bytes, at + 2 * count, count);
  }

  get couplings(): number {
    return this.vehicles - 1;
  }

  time(picture: number): number {
    return this.times[picture] ?? 0;
  }

  /** Draft positive, N. */
  force(picture: number, coupling: number): number {
    return (this.forces[picture * this.couplings + coupling] ?? 0) * this.newtons;
  }

  /** 0 run in, 1 in its slack, 2 stretched, 3 apart. */
  state(picture: number, coupling: number): number {
    return this.coupled[picture * this.couplings + coupling] ?? 1;
  }

  nearest(seconds: number): number {
    let best = 0;
    for (let picture = 1; picture < this.pictures; picture += 1) {
      if (Math.abs(this.time(picture) - seconds) < Math.abs(this.time(best) - seconds)) best = picture;
    }
    return best;
  }

  /** Places along the line of the ends of a vehicle's body, a quarter of its bolsters' distance beyond them. */
  ends(picture: number, vehicle: number): [number, number] {
    const middle = this.middles[picture * this.vehicles + vehicle] ?? 0;
    const half = this.halves[vehicle] ?? 0;
    return [middle + 1.5 * half, middle - 1.5 * half];
  }
}
