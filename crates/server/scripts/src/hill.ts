/** The hill: the train runs under a slider, and moves with its slack, lists are dragged, files are read into their fields. Every
    page works without this. */
import { awaitAdvice } from "./hill/advice.ts";
import { chooseFiles } from "./hill/choose.ts";
import { drawAsTyped } from "./hill/draw.ts";
import { dragOrder } from "./hill/order.ts";
import { runTrain } from "./hill/run.ts";
import { playScene } from "./hill/scene.ts";

const climb = document.querySelector<HTMLElement>("section.climb");
if (climb?.classList.contains("scene")) void playScene(climb);
else if (climb !== null) void runTrain(climb);
const advice = document.querySelector<HTMLElement>("section.advice[data-job]");
if (advice !== null) void awaitAdvice(advice);
const order = document.querySelector<HTMLTableElement>("table.order");
if (order !== null) dragOrder(order);
const line = document.querySelector<HTMLFormElement>("form.line-form");
if (line !== null) drawAsTyped(line);
for (const details of document.querySelectorAll<HTMLDetailsElement>("details.import")) chooseFiles(details);
