/** The hill: the sample's train fails, the advice is followed, and it passes; a line by hand. */
import assert from "node:assert/strict";
import type { Page } from "playwright-core";

import { journey } from "../harness/journey.ts";
import { LOOKS, type Look } from "../harness/visit.ts";

const DESK: Look = { size: "desktop", scheme: "light" };
/** A climb and its advice on a program built without optimisation, on a busy machine. */
const LONG_MS = 180_000;

async function climb(page: Page): Promise<void> {
  await page.goto("/hill");
  await page.getByRole("button", { name: "Run it up the hill" }).click();
  await page.locator(".verdict").waitFor({ timeout: LONG_MS });
}

journey("the failing train passes by following the advice", "sample", async (club) => {
  const visit = await club.member("Lead", DESK);
  const { page } = visit;
  const began = Date.now();
  await climb(page);
  assert.match((await page.locator(".verdict").textContent()) ?? "", /a limit is passed/);
  await page.locator("section.climb[data-ready]").waitFor({ timeout: LONG_MS });
  await visit.documentPicture("hill-climb");

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
  console.log(`frames: median ${frames[60]?.toFixed(1)} ms, 95 % within ${frames[115]?.toFixed(1)} ms`);
  const head = Number(await page.locator("input.at").inputValue());
  assert.ok(head > 60, `the head is at the end of the line, not at ${head} m`);

  await page.getByRole("button", { name: "Make it up so" }).first().click({ timeout: LONG_MS });
  await page.waitForURL(/climb\?line=/);
  await page.locator(".verdict").waitFor({ timeout: LONG_MS });
  assert.match((await page.locator(".verdict").textContent()) ?? "", /at or above what is asked/);
  console.log(`from failing to passing in ${((Date.now() - began) / 1000).toFixed(0)} s`);
});

journey("a line is typed and drawn at once, mistakes and all", "sample", async (club) => {
  const visit = await club.member("Track lead", DESK);
  const { page } = visit;
  await page.goto("/hill/lines/new");
  await page.locator("[name=line-0-name]").fill("Hand Hill");
  await page.locator("[name=plan-0-shape]").selectOption("tangent");
  await page.locator("[name=plan-0-length]").fill("2 furlongs");
  await page.getByText(/Plan 1, length/).waitFor();
  await page.locator("[name=plan-0-length]").fill("2 m");
  await page.locator("[name=profile-0-shape]").selectOption("grade");
  await page.locator("[name=profile-0-grade]").fill("2 %");
  await page.locator("[name=profile-0-length]").fill("rest");
  await page.locator("#drawing svg.plan").waitFor();
  await page.getByRole("button", { name: "Save it" }).first().click();
  await page.waitForURL(/hill\/lines\/\d+$/);
  await page.getByText("2.0 m long").waitFor();
});

journey("the hill can be read and used by everybody", "sample", async (club) => {
  for (const look of LOOKS) {
    const visit = await club.member("Lead", look);
    await visit.lookAt("/hill", "hill");
    await climb(visit.page);
    await visit.page.locator("section.climb[data-ready]").waitFor({ timeout: LONG_MS });
    await visit.audit("hill-climb");
    await visit.lookAt("/hill/lines/new", "hill-line-new");
    await visit.lookAt("/hill/lines/1", "hill-line");
    await visit.lookAt("/hill/power", "hill-power");
    await visit.lookAt("/hill/trains/8", "hill-train");
  }
});
