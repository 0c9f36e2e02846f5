/** Watches beside the fields that take a time: one for a spin, one that is tapped at each gate of a run. */

type Field = HTMLInputElement;

/** How often a running watch shows its time. */
const TICK_MS = 100;

/** Puts a watch beside every field that can be timed. `typed` is told of a field that was filled,
    `enter` of fields that are complete. */
export function timers(
  form: HTMLFormElement,
  typed: (input: Field) => void,
  enter: (inputs: Field[]) => void,
): void {
  const runs = new Map<string, Field[]>();
  for (const input of form.querySelectorAll<Field>("input[data-timed]")) {
    const run = input.dataset["timed"] ?? "";
    if (run === "alone") stopwatch(input, typed);
    else runs.set(run, [...(runs.get(run) ?? []), input]);
  }
  for (const [run, gates] of runs) gateWatch(run.replace("run-", ""), gates, typed, enter);
}

function button(words: string): HTMLButtonElement {
  const own = document.createElement("button");
  own.type = "button";
  own.textContent = words;
  return own;
}

/** Seconds with their unit, to the hundredth that a thumb is good for. */
function seconds(from: number, to: number): string {
  return `${((to - from) / 1000).toFixed(2)} s`;
}

/** Starts and stops by its button, by a tap, or by the space bar in the empty field or on the button. */
function stopwatch(input: Field, typed: (input: Field) => void): void {
  const own = button("Start the watch");
  own.className = "timer";
  let began: number | undefined;
  let ticking = 0;
  const press = (at: number): void => {
    if (began === undefined) {
      const from = at;
      began = from;
      ticking = window.setInterval(() => {
        own.textContent = `Stop: ${((performance.now() - from) / 1000).toFixed(1)} s`;
      }, TICK_MS);
      own.textContent = "Stop: 0.0 s";
      return;
    }
    window.clearInterval(ticking);
    input.value = seconds(began, at);
    began = undefined;
    own.textContent = "Start the watch again";
    typed(input);
    input.focus();
  };
  own.addEventListener("click", (event) => press(event.timeStamp));
  input.addEventListener("keydown", (event) => {
    const free = began !== undefined || input.value === "";
    if (event.key !== " " || !free || event.repeat) return;
    event.preventDefault();
    press(event.timeStamp);
  });
  input.closest("label")?.after(own);
}

/** One button for all gates of a run: the first tap is the first gate, at 0 s; the last enters them all. */
function gateWatch(
  run: string,
  gates: Field[],
  typed: (input: Field) => void,
  enter: (inputs: Field[]) => void,
): void {
  const [first] = gates;
  if (first === undefined) return;
  const own = button("");
  const afresh = button("Start this run again");
  afresh.className = "quiet";
  let passed = 0;
  let began = 0;
  const show = (): void => {
    const done = passed === gates.length;
    own.textContent = done ? `Run ${run}: all gates passed` : `Run ${run}: tap at gate ${passed + 1} of ${gates.length}`;
    own.disabled = done;
    afresh.hidden = passed === 0;
  };
  own.addEventListener("click", (event) => {
    const gate = gates[passed];
    if (gate === undefined) return;
    if (passed === 0) began = event.timeStamp;
    gate.value = seconds(began, event.timeStamp);
    typed(gate);
    passed += 1;
    show();
    if (passed === gates.length) enter(gates);
  });
  afresh.addEventListener("click", () => {
    for (const gate of gates) {
      gate.value = "";
      typed(gate);
    }
    passed = 0;
    show();
    own.focus();
  });
  const frame = document.createElement("div");
  frame.className = "reading timer";
  frame.append(own, afresh);
  show();
  first.closest(".reading")?.before(frame);
}
