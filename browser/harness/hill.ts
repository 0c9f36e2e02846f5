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

/** How long each frame takes while the slider is pulled from end to end, ms, shortest first. */
export async function frameTimes(page: Page): Promise<number[]> {
  const frames = await page.evaluate(async () => {
    const slider = document.querySelector<HTMLInputElement>(".climb input[type=range]");
    if (slider === null) return [];
    const times: number[] = [];
    let before = performance.now();
    for (let step = 0; step <= 120; step += 1) {
      slider.value = String(Math.round((Number(slider.max) * step) / 120));
      slider.dispatchEvent(new Event("input"));
      await new Promise((done) => requestAnimationFrame(done));
      const now = performance.now();
      times.push(now - before);
      before = now;
    }
    return times.sort((a, b) => a - b);
  });
  assert.equal(frames.length, 121, "the slider runs the train");
  return frames;
}

/** A quantile of sorted times, in words. */
export function quantile(sorted: readonly number[], part: number): string {
  return (sorted[Math.min(sorted.length - 1, Math.floor(part * sorted.length))] ?? NaN).toFixed(1);
}
