/** The train under a slider, or two trains under one: plan, profile, force and margin drawn anew each frame. */
import { Film } from "./film.ts";
import { Stage } from "./stage.ts";

/** Metres of line that the train runs in a second of playing. ASSUMED: a look at every curve. */
const PACE = 4;

export async function runTrain(section: HTMLElement): Promise<void> {
  const form = section.querySelector<HTMLFormElement>("form.run");
  const field = form?.querySelector<HTMLInputElement>("input.at");
  if (!form || !field) return;
  const stages = await readStages(section);
  if (stages === null) return;
  const first = Math.min(...stages.map((own) => own.first));
  const last = Math.max(...stages.map((own) => own.last));
  const steps = Math.max(1, ...stages.map((own) => own.places - 1));
  const metres = (step: number): number => first + ((last - first) * step) / steps;
  const nearest = (at: number): number =>
    Math.min(steps, Math.max(0, Math.round((steps * (at - first)) / Math.max(1e-9, last - first))));

  const slider = document.createElement("input");
  slider.type = "range";
  slider.min = "0";
  slider.max = String(steps);
  slider.value = String(nearest(Number(field.value)));
  slider.setAttribute("aria-label", stages.length > 1 ? "Place of both trains on the line" : "Place of the train on the line");
  const play = document.createElement("button");
  play.type = "button";
  play.textContent = "Run";
  form.before(slider);
  form.append(play);

  const here = (): number => metres(Number(slider.value));
  let asked = false;
  const show = (): void => {
    asked = false;
    for (const stage of stages) stage.draw(here());
    field.value = here().toFixed(2);
    slider.setAttribute("aria-valuetext", `head at ${field.value} m`);
  };
  const ask = (): void => {
    if (asked) return;
    asked = true;
    requestAnimationFrame(show);
  };
  const say = (): void => {
    for (const stage of stages) stage.say(here());
  };
  slider.addEventListener("input", ask);
  window.addEventListener("resize", ask);
  // Said once the slider rests, not at every step: a reader aloud would never come to an end.
  slider.addEventListener("change", say);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    event.stopPropagation();
    slider.value = String(nearest(Number(field.value)));
    show();
    say();
  });

  let playing = 0;
  const stop = (): void => {
    cancelAnimationFrame(playing);
    playing = 0;
    play.textContent = "Run";
    say();
  };
  play.addEventListener("click", () => {
    if (playing !== 0) return stop();
    play.textContent = "Stop";
    let step = Number(slider.value) >= steps ? 0 : Number(slider.value);
    let before = performance.now();
    const each = (now: number): void => {
      step += last > first ? ((now - before) / 1000) * PACE * (steps / (last - first)) : steps;
      before = now;
      slider.value = String(Math.min(steps, Math.floor(step)));
      show();
      if (step >= steps) stop();
      else playing = requestAnimationFrame(each);
    };
    playing = requestAnimationFrame(each);
  });
  for (const svg of section.querySelectorAll<SVGSVGElement>('[data-stage="0"] svg.plan')) {
    svg.addEventListener("click", (event) => {
      const vehicle = stages[0]?.under(event, here()) ?? -1;
      const link = document.querySelectorAll<HTMLAnchorElement>("table.train a.inrow")[vehicle];
      if (link === undefined) return;
      const to = new URL(link.href);
      to.searchParams.set("at", field.value);
      location.assign(to);
    });
  }
  section.dataset["ready"] = "";
}

/** Every train of the page with its film; nothing where one cannot be had. */
async function readStages(section: HTMLElement): Promise<Stage[] | null> {
  const stages: Stage[] = [];
  for (const charts of section.querySelectorAll<HTMLElement>(".charts[data-film]")) {
    const answer = await fetch(charts.dataset["film"] ?? "");
    if (!answer.ok) return null;
    stages.push(new Stage(section, charts.dataset["stage"] ?? "0", new Film(await answer.arrayBuffer())));
  }
  return stages.length > 0 ? stages : null;
}
