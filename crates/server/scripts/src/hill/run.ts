/** The train under a slider, or two trains under one: plan, profile, force and margin drawn anew each frame. */
import { Film } from "./film.ts";
import { player } from "./player.ts";
import { Stage } from "./stage.ts";

/** Metres of line that the train runs in a second of playing. ASSUMED: a look at every curve. */
const PACE = 4;

export async function runTrain(section: HTMLElement): Promise<void> {
  const stages = await readStages(section);
  if (stages === null) return;
  const first = Math.min(...stages.map((own) => own.first));
  const last = Math.max(...stages.map((own) => own.last));
  const steps = Math.max(1, ...stages.map((own) => own.places - 1));
  const metres = (step: number): number => first + ((last - first) * step) / steps;
  const own = player(section, {
    count: steps + 1,
    name: stages.length > 1 ? "Place of both trains on the line" : "Place of the train on the line",
    play: "Run",
    find: (at) => Math.min(steps, Math.max(0, Math.round((steps * (at - first)) / Math.max(1e-9, last - first)))),
    typed: (step) => metres(step).toFixed(2),
    spoken: (at) => `head at ${at} m`,
    say: (step) => {
      for (const stage of stages) stage.say(metres(step));
    },
    draw: (step) => {
      for (const stage of stages) stage.draw(metres(step));
    },
    after: (step, seconds) => (last > first ? step + seconds * PACE * (steps / (last - first)) : steps),
  });
  if (own === undefined) return;
  for (const svg of section.querySelectorAll<SVGSVGElement>('[data-stage="0"] svg.plan')) {
    svg.addEventListener("click", (event) => {
      const here = metres(own.picture());
      const vehicle = stages[0]?.under(event, here) ?? -1;
      const link = document.querySelectorAll<HTMLAnchorElement>("table.train a.inrow")[vehicle];
      if (link === undefined) return;
      const to = new URL(link.href);
      to.searchParams.set("at", here.toFixed(2));
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
