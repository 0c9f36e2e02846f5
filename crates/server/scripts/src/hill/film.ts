/** What every vehicle bears at every place, as `hill/climb.rs` lays it out in bytes. */

import { Course, POINT } from "./course.ts";

const HEAD_BYTES = 24;

export class Film {
  readonly places: number;
  readonly vehicles: number;
  readonly heads: Float32Array;
  readonly course: Course;
  private readonly newtons: number;
  private readonly marginStep: number;
  private readonly halves: Float32Array;
  private readonly stations: Float32Array;
  private readonly behind: Float32Array;
  private readonly forces: Int16Array;
  private readonly margins: Int16Array;

  constructor(bytes: ArrayBuffer) {
    const head = new DataView(bytes);
    this.places = head.getUint32(0, true);
    this.vehicles = head.getUint32(4, true);
    const pointCount = head.getUint32(8, true);
    const stationCount = head.getUint32(12, true);
    this.newtons = head.getFloat32(16, true);
    this.marginStep = head.getFloat32(20, true);
    let at = HEAD_BYTES;
    const floats = (count: number): Float32Array => {
      const own = new Float32Array(bytes, at, count);
      at += 4 * count;
      return own;
    };
    this.heads = floats(this.places);
    this.course = new Course(floats(POINT * pointCount));
    this.halves = floats(this.vehicles);
    this.stations = floats(stationCount);
    this.behind = floats(stationCount * this.vehicles);
    const count = this.places * this.vehicles;
    this.forces = new Int16Array(bytes, at, count);
    this.margins = new Int16Array(bytes, at + 2 * count, count);
  }

  force(place: number, vehicle: number): number {
    return (this.forces[place * this.vehicles + vehicle] ?? 0) * this.newtons;
  }

  margin(place: number, vehicle: number): number {
    return (this.margins[place * this.vehicles + vehicle] ?? 0) * this.marginStep;
  }

  /** The place nearest to a place of the head in metres. */
  nearest(metres: number): number {
    const first = this.heads[0] ?? 0;
    const last = this.heads[this.places - 1] ?? first;
    const part = last > first ? (metres - first) / (last - first) : 0;
    return Math.min(this.places - 1, Math.max(0, Math.round(part * (this.places - 1))));
  }

  /** Places along the line of the ends of a vehicle's body, a quarter of its bolsters' distance beyond them. */
  ends(place: number, vehicle: number): [number, number] {
    let after = 1;
    while (after < this.stations.length - 1 && (this.stations[after] ?? 0) < place) after += 1;
    const from = this.stations[after - 1] ?? 0;
    const to = this.stations[after] ?? from;
    const part = to > from ? (place - from) / (to - from) : 0;
    const a = this.behind[(after - 1) * this.vehicles + vehicle] ?? 0;
    const b = this.behind[after * this.vehicles + vehicle] ?? a;
    const front = (this.heads[place] ?? 0) - (a + part * (b - a));
    const half = this.halves[vehicle] ?? 0;
    return [front + 0.5 * half, front - 2.5 * half];
  }
}
