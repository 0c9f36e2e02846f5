/** A line is drawn anew shortly after something was typed. */

const PAUSE_MS = 350;

export function drawAsTyped(form: HTMLFormElement): void {
  let timer = 0;
  let round = 0;
  form.addEventListener("input", (event) => {
    if ((event.target as HTMLElement).closest("details.import") !== null) return;
    clearTimeout(timer);
    timer = window.setTimeout(() => void draw(form, (round += 1), () => round), PAUSE_MS);
  });
}

async function draw(form: HTMLFormElement, own: number, latest: () => number): Promise<void> {
  const sent = new URLSearchParams();
  for (const [name, value] of new FormData(form)) {
    if (typeof value === "string" && value !== "") sent.append(name, value);
  }
  sent.set("what", "draw");
  const answer = await fetch(form.action, { method: "POST", body: sent });
  // What was typed meanwhile has its own drawing on the way.
  if (!answer.ok || own !== latest()) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  const drawing = fresh.querySelector("#drawing");
  if (drawing !== null) document.querySelector("#drawing")?.replaceWith(document.adoptNode(drawing));
}
