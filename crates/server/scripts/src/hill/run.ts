/** The train under a slider: plan, profile, force and margin drawn anew each frame from the film. */
import { Film } from "./film.ts";

/** The drawing's own units, as in `hill/picture.rs`. */
const WIDTH = 1000;
const EDGE = 30;
const MIDDLE = 90;
const HALF = 66;
/** Metres of line that the train runs in a second of playing. ASSUMED: a look at every curve. */
const PACE = 4;

export async function runTrain(section: HTMLElement): Promise<void> {
  const form = section.querySelector<HTMLFormElement>("form.run");
  const field = form?.querySelector<HTMLInputElement>("input.at");
  const where = section.querySelector<HTMLElement>("p.where");
  if (!form || !field || !where || section.dataset["film"] === undefined) return;
  const answer = await fetch(section.dataset["film"]);
  if (!answer.ok) return;
  const film = new Film(await answer.arrayBuffer());
  const stage = new Stage(section, film);

  const slider = document.createElement("input");
  slider.type = "range";
  slider.min = "0";
  slider.max = String(film.places - 1);
  slider.value = String(film.nearest(Number(field.value)));
  slider.setAttribute("aria-label", "Place of the train on the line");
  const play = document.createElement("button");
  play.type = "button";
  play.textContent = "Run";
  form.before(slider);
  form.append(play);

  let asked = false;
  const show = (): void => {
    asked = false;
    const place = Number(slider.value);
    stage.draw(place);
    field.value = (film.heads[place] ?? 0).toFixed(2);
    slider.setAttribute("aria-valuetext", `head at ${field.value} m`);
  };
  const ask = (): void => {
    if (asked) return;
    asked = true;
    requestAnimationFrame(show);
  };
  slider.addEventListener("input", ask);
  // Said once the slider rests, not at every step: a reader aloud would never come to an end.
  slider.addEventListener("change", () => {
    where.textContent = stage.inWords(Number(slider.value));
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    event.stopPropagation();
    slider.value = String(film.nearest(Number(field.value)));
    show();
    where.textContent = stage.inWords(Number(slider.value));
  });

  let playing = 0;
  const stop = (): void => {
    cancelAnimationFrame(playing);
    playing = 0;
    play.textContent = "Run";
    where.textContent = stage.inWords(Number(slider.value));
  };
  play.addEventListener("click", () => {
    if (playing !== 0) return stop();
    play.textContent = "Stop";
    const last = film.places - 1;
    let place = Number(slider.value) >= last ? 0 : Number(slider.value);
    let before = performance.now();
    const each = (now: number): void => {
      const span = (film.heads[last] ?? 0) - (film.heads[0] ?? 0);
      place += span > 0 ? ((now - before) / 1000) * PACE * (last / span) : last;
      before = now;
      slider.value = String(Math.min(last, Math.floor(place)));
      show();
      if (place >= last) stop();
      else playing = requestAnimationFrame(each);
    };
    playing = requestAnimationFrame(each);
  });

  section.querySelector("svg.plan")?.addEventListener("click", (event) => {
    const vehicle = stage.under(event as MouseEvent, Number(slider.value));
    const link = document.querySelectorAll<HTMLAnchorElement>("table.train a.inrow")[vehicle];
    if (link === undefined) return;
    const to = new URL(link.href);
    to.searchParams.set("at", field.value);
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
    const all = <E extends Element>(selector: string): E[] => [...section.querySelectorAll<E>(selector)];
    this.plan = all("svg.plan g.train line");
    this.profile = all("svg.profile g.train line");
    this.forces = all("svg.bars.force rect");
    this.lefts = all("svg.bars.left rect");
    this.most = Number(section.querySelector<SVGElement>("svg.bars.force")?.dataset["most"] ?? 1);
    this.least = Number(section.dataset["least"] ?? 0);
    this.names = [...document.querySelectorAll("table.train a.inrow")].map((own) => own.textContent ?? "");
  }

  draw(place: number): void {
    const { film } = this;
    const long = film.length;
    const x = (s: number): number => EDGE + ((WIDTH - 2 * EDGE) * s) / long;
    for (let vehicle = 0; vehicle < film.vehicles; vehicle += 1) {
      const [front, rear] = film.ends(place, vehicle);
      const [ax, ay, az] = film.at(front);
      const [bx, by, bz] = film.at(rear);
      put(this.plan[vehicle], ax, ay, bx, by);
      put(this.profile[vehicle], x(front), az - 4, x(rear), bz - 4);
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
      const [x, y] = this.film.at((front + rear) / 2);
      const far = Math.hypot(x - point.x, y - point.y);
      if (far < least) {
        least = far;
        best = vehicle;
      }
    }
    return best;
  }
}

function put(line: SVGLineElement | undefined, ax: number, ay: number, bx: number, by: number): void {
  line?.setAttribute("x1", ax.toFixed(1));
  line?.setAttribute("y1", ay.toFixed(1));
  line?.setAttribute("x2", bx.toFixed(1));
  line?.setAttribute("y2", by.toFixed(1));
}

function bar(rect: SVGRectElement | undefined, part: number): void {
  const tall = HALF * Math.min(1, Math.max(-1, part));
  rect?.setAttribute("y", (tall > 0 ? MIDDLE - tall : MIDDLE).toFixed(1));
  rect?.setAttribute("height", Math.max(0.5, Math.abs(tall)).toFixed(1));
  rect?.classList.toggle("under", part < 0);
}
