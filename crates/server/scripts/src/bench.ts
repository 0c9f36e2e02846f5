/** The bench: a reading is entered the moment it is typed, and whatever it changes is put in place.
    Without this script the same form sends the same fields, all at once. */
import { Desk } from "./bench/desk.ts";
import { timers } from "./bench/timers.ts";

const form = document.querySelector<HTMLFormElement>("form.entry");
if (form !== null) {
  const desk = new Desk(form);
  timers(form, (input) => desk.typed(input), (inputs) => inputs.forEach((input) => desk.enter(input)));
  desk.begin();
}
