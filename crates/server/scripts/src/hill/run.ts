/** The train under a slider: plan, profile, force and margin drawn anew each frame from the film. */
import { Film } from "./film.ts";
import { all, bar, put } from "./marks.ts";
import { player } from "./player.ts";

/** Metres of line that the train runs in a second of playing. ASSUMED: a look at every curve. */
const PACE = 4;

export async function runTrain(section: HTMLElement): Promise<void> {
  if (section.dataset["film"] === undefined) return;
  const answer = await fetch(section.dataset["film"]);
  if (!answer.ok) return;
  const film = new Film(await answer.arrayBuffer());
  const stage = new Stage(section, film);
  const last = film.places - 1;
  const own = player(section, {
    count: film.places,
    name: "Place of the train on the line",
    play: "Run",
    find: (metres) => film.nearest(metres),
    typed: (place) => (film.heads[place] ?? 0).toFixed(2),
    spoken: (metres) => `head at ${metres} m`,
    inWords: (place) => stage.inWords(place),
    draw: (place) => stage.draw(place),
    after: (place, seconds) => {
      const span = (film.heads[last] ?? 0) - (film.heads[0] ?? 0);
      return span > 0 ? place + seconds * PACE * (last / span) : last;
    },
  });
  if (own === undefined) return;

  section.querySelector("svg.plan")?.addEventListener("click", (event) => {
    const vehicle = stage.under(event as MouseEvent, own.picture());
    const link = document.querySelectorAll<HTMLAnchorElement>("table.train a.inrow")[vehicle];
    if (link === undefined) return;
    const to = new URL(link.href);
    to.searchParams.set("at", (film.heads[own.picture()] ?? 0).toFixed(2));
    location.assign(to);
  });
  section.dataset["ready"] = "";
}

class Stage {
  private readonly plan: SVGLineElement[];
  private readonly profile: SVGLineElement[];
  private readonly forces: SVGRectElement[];
  private readonly lefts: SVGRectElement[];
  private readonly most: number;
  private readonly least: number;
  private readonly names: string[];

  constructor(
    private readonly section: HTMLElement,
    private readonly film: Film,
  ) {
    this.plan = all(section, "svg.plan g.train line");
    this.profile = all(section, "svg.profile g.train line");
    this.forces = all(section, "svg.bars.force rect");
    this.lefts = all(section, "svg.bars.left rect");
    this.most = Number(section.querySelector<SVGElement>("svg.bars.force")?.dataset["most"] ?? 1);
    this.least = Number(section.dataset["least"] ?? 0);
    this.names = [...document.querySelectorAll("table.train a.inrow")].map((own) => own.textContent ?? "");
  }

  draw(place: number): void {
    const { film } = this;
    const { course } = film;
    for (let vehicle = 0; vehicle < film.vehicles; vehicle += 1) {
      const [front, rear] = film.ends(place, vehicle);
      const [ax, ay, az] = course.at(front);
      const [bx, by, bz] = course.at(rear);
      put(this.plan[vehicle], ax, ay, bx, by);
      put(this.profile[vehicle], course.across(front), az - 4, course.across(rear), bz - 4);
      const left = film.margin(place, vehicle);
      this.plan[vehicle]?.classList.toggle("little", left < this.least);
      this.profile[vehicle]?.classList.toggle("little", left < this.least);
      bar(this.forces[vehicle], film.force(place, vehicle) / this.most);
      bar(this.lefts[vehicle], left);
    }
  }

  inWords(place: number): string {
    const { film } = this;
    let worst = 0;
    for (let vehicle = 1; vehicle < film.vehicles; vehicle += 1) {
      if (film.margin(place, vehicle) < film.margin(place, worst)) worst = vehicle;
    }
    const margin = (Math.floor(film.margin(place, worst) * 100) / 100).toFixed(2).replace("-", "−");
    const name = this.names[worst] ?? `vehicle ${worst + 1}`;
    return `The head stands at ${(film.heads[place] ?? 0).toFixed(2)} m. Least is left for ${name}: margin ${margin} here.`;
  }

  /** The vehicle nearest to a click. */
  under(event: MouseEvent, place: number): number {
    const svg = this.section.querySelector<SVGSVGElement>("svg.plan");
    const matrix = svg?.getScreenCTM()?.inverse();
    if (!svg || !matrix) return -1;
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix);
    let best = -1;
    let least = 20;
    for (let vehicle = 0; vehicle < this.film.vehicles; vehicle += 1) {
      const [front, rear] = this.film.ends(place, vehicle);
      const [x, y] = this.film.course.at((front + rear) / 2);
      const far = Math.hypot(x - point.x, y - point.y);
      if (far < least) {
        least = far;
        best = vehicle;
      }
    }
    return best;
  }
}
