/** Scenes and odds: a failure of power is played and looked at moment by moment; trips are drawn, ended, and
    two make-ups compared. */
import assert from "node:assert/strict";
import type { Page } from "playwright-core";

import { journey } from "../harness/journey.ts";
import { LOOKS, type Look } from "../harness/visit.ts";

const DESK: Look = { size: "desktop", scheme: "light" };
/** A scene and its trips on a program built without optimisation, on a busy machine. */
const LONG_MS = 240_000;

async function playPower(page: Page): Promise<void> {
  await page.goto("/hill");
  const form = page.locator("form[action='/hill/scene']");
  await form.getByLabel("Scene").selectOption({ label: "head end loses power one second" });
  await form.getByLabel("Head at").fill("42");
  await form.getByRole("button", { name: "Play it" }).click();
  await page.locator("section.scene[data-ready]").waitFor({ timeout: LONG_MS });
}

async function odds(page: Page, trips: string): Promise<void> {
  await page.goto("/hill");
  const form = page.locator("form[action='/hill/odds']");
  await form.getByLabel("Train").selectOption({ label: "Marrow Pass drag" });
  await form.getByLabel("Trips").fill(trips);
  await form.getByRole("button", { name: "Draw the trips" }).click();
}

journey("a second without power is played, and its worst moment looked at", "sample", async (club) => {
  const visit = await club.member("Lead", DESK);
  const { page } = visit;
  await playPower(page);
  const verdict = (await page.locator(".verdict").textContent()) ?? "";
  assert.match(verdict, /a limit is passed/);
  assert.match((await page.locator(".headline").textContent()) ?? "", /lost power for 1\.0 s/);

  const field = page.locator("input.at");
  const slider = page.getByRole("slider", { name: "Moment of the scene" });
  const state = (): Promise<string[]> =>
    page.locator(".drawn.wide svg.plan path.coupling").evaluateAll((all) => all.map((own) => own.getAttribute("class") ?? ""));
  // Pictures stand a hundredth of a second apart, and are drawn in the browser's own time.
  const slide = async (picture: number): Promise<void> => {
    await slider.fill(String(picture));
    const there = (seconds: number): boolean =>
      Number(document.querySelector<HTMLInputElement>("input.at")?.value) === seconds;
    await page.waitForFunction(there, picture / 100);
  };
  await slide(0);
  const before = await state();
  assert.equal(before.length, 77, "a mark for every coupling");

  const spot = page.locator("a.spot[data-time]").first();
  await spot.click();
  const worst = Number(await spot.getAttribute("data-time"));
  assert.ok(Math.abs(Number(await field.inputValue()) - worst) < 0.02, "the list leads to its moment");
  const after = await state();
  assert.ok(after.filter((own, k) => own !== before[k]).length > 10, "slack has run in meanwhile");
  assert.match((await page.locator("p.where").textContent()) ?? "", /run in/);
  // A moment at which some couplings pull, some push and some do neither.
  await slide(340);
  for (const how of ["stretched", "loose", "run-in"]) {
    assert.ok((await page.locator(`.drawn.wide svg.plan path.${how}`).count()) > 3, `some are ${how}`);
  }
  await visit.documentPicture("scene");

  await field.fill("5");
  await page.getByRole("button", { name: "Show that moment" }).click();
  assert.equal(Number(await slider.inputValue()), 500, "the slider follows what was typed");
  await page.getByRole("button", { name: "Play, four times slower" }).click();
  await page.waitForFunction(() => Number(document.querySelector<HTMLInputElement>("input.at")?.value) > 5.05);
  await page.getByRole("button", { name: "Stop" }).click();
  const stopped = await field.inputValue();
  await page.waitForTimeout(120);
  assert.equal(await field.inputValue(), stopped, "it stands where it was stopped");
});

journey("a scene of the club's own is entered and found in the list", "sample", async (club) => {
  const visit = await club.member("Lead", DESK);
  const { page } = visit;
  await page.goto("/hill/scenes/new");
  const text = page.locator("textarea[name=text]");
  const own = (await text.inputValue()).replace(/name = ".*"/, 'name = "Dirty crossover"');
  await text.fill(own.replace("lose power", "loose power"));
  await page.getByRole("button", { name: "Save it" }).click();
  await page.getByRole("alert").first().waitFor();
  await text.fill(own);
  await page.getByRole("button", { name: "Save it" }).click();
  await page.waitForURL(/hill\/scenes\/\d+$/);
  await page.goto("/hill");
  await page.getByRole("link", { name: "Dirty crossover" }).waitFor();
});

journey("trips are ended, drawn again, and two make-ups compared", "sample", async (club) => {
  const visit = await club.member("Lead", DESK);
  const { page } = visit;
  await odds(page, "50000");
  await page.getByRole("button", { name: "End it" }).click({ timeout: LONG_MS });
  await page.waitForURL(/\/hill$/);

  await page.goto("/hill/trains/8");
  await page.getByLabel("Position of WQX 110").fill("70");
  await page.locator("[name=name]").fill("Flat at the rear");
  await page.getByRole("button", { name: "Save it" }).first().click();
  await page.waitForURL(/hill\/trains\/\d+$/);

  const began = Date.now();
  await odds(page, "60");
  await page.locator("svg.odds").waitFor({ timeout: LONG_MS });
  await page.getByLabel("Compare with").selectOption({ label: "Flat at the rear" });
  await page.getByRole("button", { name: "Draw the trips" }).click();
  await page.locator("#compared").waitFor({ timeout: LONG_MS });
  assert.match((await page.locator("#compared").textContent()) ?? "", /The same 60 evenings for both/);
  console.log(`three times 60 trips in ${((Date.now() - began) / 1000).toFixed(0)} s`);
  await page.evaluate(() => window.scrollTo(0, 0));
  await visit.documentPicture("odds");
});

journey("scenes and odds can be read and used by everybody", "sample", async (club) => {
  for (const look of LOOKS) {
    const visit = await club.member("Lead", look);
    await playPower(visit.page);
    await visit.audit("hill-scene");
    await visit.lookAt("/hill/scenes/new", "hill-scene-new");
    await odds(visit.page, "40");
    await visit.page.locator("svg.odds").waitFor({ timeout: LONG_MS });
    await visit.audit("hill-odds");
  }
});
