/** The hill: the sample's train fails, the advice is followed, two make-ups are compared, and everybody can
    read it. */
import assert from "node:assert/strict";

import { climb, frameTimes, LONG_MS, quantile, ready } from "../harness/hill.ts";
import { journey } from "../harness/journey.ts";
import { LOOKS, type Look, SIZES } from "../harness/visit.ts";

const DESK: Look = { size: "desktop", scheme: "light" };

journey("the failing train passes by following the advice", "sample", async (club) => {
  const visit = await club.member("Lead", DESK);
  const { page } = visit;
  const began = Date.now();
  await climb(page);
  assert.match((await page.locator(".verdict").textContent()) ?? "", /a limit is passed/);
  assert.equal(await page.getByText("may not run").count(), 0, "the train fails by where its flat stands");
  await ready(page);
  await page.locator(".verdict").evaluate((own) => own.scrollIntoView());
  await visit.documentPicture("hill-climb");

  const { whole } = await frameTimes(page);
  console.log(`frames: median ${quantile(whole, 0.5)} ms, 95 % within ${quantile(whole, 0.95)} ms`);
  const head = Number(await page.locator("input.at").inputValue());
  assert.ok(head > 60, `the head is at the end of the line, not at ${head} m`);

  await page.getByRole("button", { name: "Make it up so" }).first().click({ timeout: LONG_MS });
  await page.waitForURL(/climb\?line=.*&with=8$/);
  await page.locator(".verdict").waitFor({ timeout: LONG_MS });
  assert.match((await page.locator(".verdict").textContent()) ?? "", /at or above what is asked/);
  console.log(`from failing to passing in ${((Date.now() - began) / 1000).toFixed(0)} s`);

  const difference = (await page.locator(".difference").textContent()) ?? "";
  assert.match(difference, /leaves 0\.\d\d more than 'Marrow Pass drag'.*WQX 110 stands at place \d+ instead of 8\./);
  await ready(page);
  await page.locator(".difference").evaluate((own) => own.scrollIntoView());
  await visit.documentPicture("hill-compare");
  await visit.picture("hill-compare");
});

journey("every part of the advice comes by itself, and leads to the bench", "sample", async (club) => {
  const visit = await club.member("Lead", { size: "tablet", scheme: "light" });
  const { page } = visit;
  await climb(page);
  const advice = page.locator("#advice");
  const repairs = advice.locator("[data-part='repairs that buy the most']");
  await repairs.waitFor({ timeout: LONG_MS });
  // The first answer stays where it is while the others come.
  await advice.getByRole("button", { name: "Make it up so" }).first().waitFor();
  const helpers = advice.locator("[data-part=helpers]");
  await helpers.waitFor({ timeout: LONG_MS });
  await visit.audit("hill-advice");
  const end = advice.getByRole("button", { name: "End the search" });
  if ((await end.count()) > 0) {
    await end.click();
    await page.waitForURL(/#advice$/);
    const state = advice.getByRole("status");
    await state.waitFor();
    assert.match((await state.textContent()) ?? "", /was ended\. Not looked at|Everything was looked at|Still to come/);
  }
  await repairs.getByRole("link", { name: "Take WQX 110 to the bench" }).first().click();
  await page.waitForURL(/\/bench\/\d+\?check=weight$/);
  await page.getByRole("heading", { name: "WQX 110" }).first().waitFor();
});

journey("two make-ups stand side by side under one slider, one over the other on a telephone", "sample", async (club) => {
  for (const size of ["desktop", "tablet", "phone"] as const) {
    const visit = await club.member("Lead", { size, scheme: "light" });
    const { page } = visit;
    const made = await page.request.post("/api/hill/trains", { data: await mended(page) });
    const item = ((await made.json()) as { item: number }).item;
    await page.goto(`/hill/climb?line=1&train=${item}&with=8`);
    await page.locator(".verdict").waitFor({ timeout: LONG_MS });
    await ready(page);
    await visit.audit("hill-compare");
    const boxes = await Promise.all([0, 1].map((n) => page.locator(`.stage[data-stage="${n}"]`).boundingBox()));
    const [one, other] = boxes;
    assert.ok(one && other);
    if (size === "phone") assert.ok(other.y > one.y + one.height - 1, "one over the other");
    else assert.ok(Math.abs(one.y - other.y) < 2 && other.x > one.x + one.width - 1, "side by side");
    assert.ok(one.width <= SIZES[size].width);
    // The slider moves both: the heads stand at the same place.
    await page.locator("input.at").fill("50");
    await page.getByRole("button", { name: "Put the train there" }).click();
    for (const where of await page.locator("p.where").allTextContents()) assert.match(where, /stands at (49\.9|50\.0)/);
    const heads = await Promise.all(
      [0, 1].map((n) => page.locator(`.stage[data-stage="${n}"] svg.plan g.train line`).first().getAttribute("x1")),
    );
    assert.equal(heads[0], heads[1]);
  }
});

/** The sample's train with its flat in the rear third, under a name of its own. */
async function mended(page: import("playwright-core").Page): Promise<object> {
  const answer = await page.request.get("/api/hill/trains/8");
  const { text } = (await answer.json()) as { text: string };
  const lines = text.split("\n");
  const at = lines.findIndex((line) => line.includes("WQX 110"));
  const [flat] = lines.splice(at, 1);
  assert.ok(flat !== undefined);
  lines.splice(at + 56, 0, flat);
  const digits = crypto.randomUUID().replaceAll("-", "");
  return { client_id: digits, name: `Mended ${digits.slice(0, 4)}`, text: lines.join("\n") };
}

journey("the hill can be read and used by everybody", "sample", async (club) => {
  for (const look of LOOKS) {
    const visit = await club.member("Lead", look);
    await visit.lookAt("/hill", "hill");
    await climb(visit.page);
    await ready(visit.page);
    await visit.audit("hill-climb");
    await visit.lookAt("/hill/lines/new", "hill-line-new");
    await visit.lookAt("/hill/lines/1", "hill-line");
    await visit.lookAt("/hill/power", "hill-power");
    await visit.lookAt("/hill/trains/8", "hill-train");
  }
});
