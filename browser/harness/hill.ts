/** What journeys on the hill have in common: a climb that is waited for, and a slider that is pulled. */
import assert from "node:assert/strict";
import type { Page } from "playwright-core";

/** A climb and its advice on a program built without optimisation, on a busy machine. */
export const LONG_MS = 180_000;

/** Runs the first train of the list up the first line. */
export async function climb(page: Page): Promise<void> {
  await page.goto("/hill");
  await page.getByRole("button", { name: "Run it up the hill" }).click();
  await page.locator(".verdict").waitFor({ timeout: LONG_MS });
}

/** Waits until the slider is there. */
export async function ready(page: Page): Promise<void> {
  await page.locator("section.climb[data-ready]").waitFor({ timeout: LONG_MS });
}

/** Times in ms, shortest first. */
export interface Frames {
  /** From frame to frame: the page's work and whatever else the machine does. */
  readonly whole: number[];
  /** Of the page's own script in a frame. */
  readonly script: number[];
}

/** How long frames take while the slider is pulled from end to end. */
export async function frameTimes(page: Page): Promise<Frames> {
  const frames = await page.evaluate(async () => {
    const slider = document.querySelector<HTMLInputElement>(".climb input[type=range]");
    const times: Frames = { whole: [], script: [] };
    if (slider === null) return times;
    const asked = window.requestAnimationFrame.bind(window);
    window.requestAnimationFrame = (draw) =>
      asked((now) => {
        const began = performance.now();
        draw(now);
        times.script.push(performance.now() - began);
      });
    let before = performance.now();
    for (let step = 0; step <= 120; step += 1) {
      slider.value = String(Math.round((Number(slider.max) * step) / 120));
      slider.dispatchEvent(new Event("input"));
      await new Promise((done) => asked(done));
      const now = performance.now();
      times.whole.push(now - before);
      before = now;
    }
    window.requestAnimationFrame = asked;
    return times;
  });
  assert.equal(frames.whole.length, 121, "the slider runs the train");
  assert.ok(frames.script.length > 100, "each frame is drawn by the page's script");
  for (const own of [frames.whole, frames.script]) own.sort((a, b) => a - b);
  return frames;
}

/** A quantile of sorted times, in words. */
export function quantile(sorted: readonly number[], part: number): string {
  return (sorted[Math.min(sorted.length - 1, Math.floor(part * sorted.length))] ?? NaN).toFixed(1);
}
