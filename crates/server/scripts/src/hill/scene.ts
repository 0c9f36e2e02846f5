/** A train that moves with its slack: plan, profile, slack, force and the line of time drawn anew from the film. */
import { all, bar, put } from "./marks.ts";
import { player } from "./player.ts";
import { SceneFilm } from "./scene_film.ts";

/** Seconds of the scene in a second of playing. ASSUMED: a run-in takes a second then, and is seen. */
const PACE = 0.25;

/** Classes and words of how a coupling stands, by its number. */
const CLASSES = ["run-in", "loose", "stretched", "apart"] as const;
const WORDS = ["run in", "in its slack", "stretched", "apart"] as const;
/** In which order they are told. */
const TOLD = [2, 1, 0, 3] as const;

/** Half the length of track over which its direction is taken, m; as in `hill/picture.rs`. */
const HALF = 0.02;

export async function playScene(section: HTMLElement): Promise<void> {
  if (section.dataset["film"] === undefined) return;
  const answer = await fetch(section.dataset["film"]);
  if (!answer.ok) return;
  const film = new SceneFilm(await answer.arrayBuffer());
  const stage = new Stage(section, film);
  const own = player(section, {
    count: film.pictures,
    name: "Moment of the scene",
    play: "Play, four times slower",
    find: (seconds) => film.nearest(seconds),
    typed: (picture) => film.time(picture).toFixed(3),
    spoken: (seconds) => `${seconds} s into the scene`,
    inWords: (picture) => stage.inWords(picture),
    draw: (picture) => stage.draw(picture),
    after: (picture, seconds) => {
      const step = film.time(1) - film.time(0);
      return step > 0 ? picture + (seconds * PACE) / step : film.pictures;
    },
  });
  if (own === undefined) return;
  for (const link of all<HTMLAnchorElement>(document, "a.spot[data-time]")) {
    link.addEventListener("click", (event) => {
      event.preventDefault();
      own.show(film.nearest(Number(link.dataset["time"])));
      section.scrollIntoView({ block: "start" });
    });
  }
  section.dataset["ready"] = "";
}

class Stage {
  private readonly plan: SVGLineElement[];
  private readonly profile: SVGLineElement[];
  private readonly onPlan: SVGPathElement[];
  private readonly onStrip: SVGPathElement[];
  private readonly forces: SVGRectElement[];
  private readonly counts: HTMLElement[];
  private readonly now: SVGLineElement | null;
  private readonly shapes: string[];
  private readonly names: string[];
  private readonly most: number;
  private readonly across: { from: number; to: number; until: number };

  constructor(
    section: HTMLElement,
    private readonly film: SceneFilm,
  ) {
    this.plan = all(section, "svg.plan g.train line");
    this.profile = all(section, "svg.profile g.train line");
    this.onPlan = all(section, "svg.plan g.couplings path");
    this.onStrip = all(section, "svg.strip path.coupling");
    this.forces = all(section, "svg.bars.force rect");
    this.counts = all(section, "ul.key [data-coupled]");
    this.now = section.querySelector("svg.times line.now");
    // The key holds every shape that a mark can take.
    this.shapes = CLASSES.map(
      (own) => section.querySelector(`ul.key path.${own}`)?.getAttribute("d") ?? "",
    );
    this.names = all<HTMLElement>(document, "table.train tr[data-name]").map((own) => own.dataset["name"] ?? "");
    this.most = Number(section.querySelector<SVGElement>("svg.bars.force")?.dataset["most"] ?? 1);
    const frame = section.querySelector("svg.times rect.frame");
    const from = Number(frame?.getAttribute("x") ?? 0);
    const until = Number(section.querySelector<SVGElement>("svg.times")?.dataset["until"] ?? 1);
    this.across = { from, to: from + Number(frame?.getAttribute("width") ?? 0), until };
  }

  draw(picture: number): void {
    const { film } = this;
    const { course } = film;
    let before = 0;
    const counts = [0, 0, 0, 0];
    for (let vehicle = 0; vehicle < film.vehicles; vehicle += 1) {
      const [front, rear] = film.ends(picture, vehicle);
      const [ax, ay, az] = course.at(front);
      const [bx, by, bz] = course.at(rear);
      put(this.plan[vehicle], ax, ay, bx, by);
      put(this.profile[vehicle], course.across(front), az - 4, course.across(rear), bz - 4);
      if (vehicle > 0) {
        const coupling = vehicle - 1;
        const state = film.state(picture, coupling);
        counts[state] = (counts[state] ?? 0) + 1;
        this.mark(this.onPlan[coupling], state, (before + front) / 2);
        this.shape(this.onStrip[coupling], state);
        bar(this.forces[coupling], film.force(picture, coupling) / this.most);
      }
      before = rear;
    }
    for (const own of this.counts) own.textContent = String(counts[Number(own.dataset["coupled"])] ?? 0);
    const { from, to, until } = this.across;
    const x = (from + ((to - from) * film.time(picture)) / until).toFixed(1);
    this.now?.setAttribute("x1", x);
    this.now?.setAttribute("x2", x);
  }

  inWords(picture: number): string {
    const { film } = this;
    const counts = [0, 0, 0, 0];
    let hardest = 0;
    for (let coupling = 0; coupling < film.couplings; coupling += 1) {
      const state = film.state(picture, coupling);
      counts[state] = (counts[state] ?? 0) + 1;
      if (Math.abs(film.force(picture, coupling)) > Math.abs(film.force(picture, hardest))) hardest = coupling;
    }
    const told = TOLD.map((own) => `${counts[own] ?? 0} ${WORDS[own]}`).join(", ");
    const force = film.force(picture, hardest);
    const kind = force < 0 ? "buff" : "draft";
    const between = `between ${this.names[hardest] ?? ""} and ${this.names[hardest + 1] ?? ""}`;
    return (
      `${film.time(picture).toFixed(2)} s into the scene. Couplings: ${told}. ` +
      `Hardest: ${kind} ${Math.abs(force).toFixed(2)} N ${between}.`
    );
  }

  private mark(path: SVGPathElement | undefined, state: number, s: number): void {
    if (path === undefined) return;
    const { course } = this.film;
    const [ax, ay] = course.at(s + HALF);
    const [bx, by] = course.at(s - HALF);
    const [x, y] = course.at(s);
    const turned = (Math.atan2(ay - by, ax - bx) * 180) / Math.PI;
    this.shape(path, state);
    path.setAttribute("transform", `translate(${x.toFixed(1)} ${y.toFixed(1)}) rotate(${turned.toFixed(1)})`);
  }

  private shape(path: SVGPathElement | undefined, state: number): void {
    const own = CLASSES[state] ?? "loose";
    if (path === undefined || path.classList.contains(own)) return;
    path.setAttribute("class", `coupling ${own}`);
    path.setAttribute("d", this.shapes[state] ?? "");
  }
}
