/** The longest train on the longest film: more than a hundred vehicles at some ten thousand places. */
import assert from "node:assert/strict";
import type { Page } from "playwright-core";

import { frameTimes, LONG_MS, quantile, ready } from "../harness/hill.ts";
import { journey } from "../harness/journey.ts";

const CARS = 104;

journey("a train of a hundred cars runs smoothly under the slider", "sample", async (club) => {
  const visit = await club.member("Lead", { size: "desktop", scheme: "light" });
  const { page } = visit;
  const own = { client_id: crypto.randomUUID().replaceAll("-", "") };
  // The sample's hill with a longer way to it.
  const hill = (await (await page.request.get("/api/hill/lines/1")).json()) as { text: string };
  const text = hill.text.replace('name = "Marrow Pass"', 'name = "Long Way"').replace('"14 m"', '"76 m"');
  assert.notEqual(text, hill.text);
  const line = await page.request.post("/api/hill/lines", { data: { ...own, name: "Long Way", text } });
  assert.ok(line.ok(), await line.text());
  const cars = await admitted(page, CARS);
  assert.equal(cars.length, CARS);
  const power = ["MP 601", "MP 602", "MP 603", ...cars.slice(0, 60), "MP 611", "MP 612", ...cars.slice(60), "MP 621"];
  const train = await page.request.post("/api/hill/trains", {
    data: {
      client_id: crypto.randomUUID().replaceAll("-", ""),
      name: "Long drag",
      text: `[train]\nconsist = [${power.map((name) => JSON.stringify(name)).join(", ")}]\n`,
    },
  });
  assert.ok(train.ok(), await train.text());
  const [lineItem, trainItem] = [await line.json(), await train.json()].map((own) => (own as { item: number }).item);
  await page.goto(`/hill/climb?line=${lineItem}&train=${trainItem}`);
  await page.locator(".verdict").waitFor({ timeout: LONG_MS });
  await ready(page);
  const places = 1 + Number(await page.locator(".climb input[type=range]").getAttribute("max"));
  const vehicles = await page.locator("svg.plan:visible g.train line").count();
  assert.ok(places > 9_500 && places <= 10_000, `${places} places`);
  assert.equal(vehicles, power.length);
  const { whole, script } = await frameTimes(page);
  const said = (own: readonly number[]): string => `median ${quantile(own, 0.5)} ms, 95 % within ${quantile(own, 0.95)} ms`;
  console.log(`${vehicles} vehicles, ${places} places: frames ${said(whole)}; their script ${said(script)}`);
  // Told and not judged: how long a frame takes says as much of the machine as of the page.
  assert.ok(script.length > whole.length / 2, `${script.length} of ${whole.length} steps were drawn`);
  const field = page.locator("input.at");
  const [at, end] = [await field.inputValue(), await field.getAttribute("max")];
  assert.ok(Math.abs(Number(at) - Number(end)) < 0.02, `pulled to its end at ${end} m, the train stands at ${at} m`);
});

/** Marks of so many cars that may run, page by page of the fleet. */
async function admitted(page: Page, count: number): Promise<string[]> {
  const marks: string[] = [];
  for (let query: string | null = "state=admitted"; query !== null && marks.length < count; ) {
    const answer = await page.request.get(`/api/fleet?${query}`);
    const found = (await answer.json()) as { cars: { mark: string }[]; next: string | null };
    marks.push(...found.cars.map((car) => car.mark));
    query = found.next;
  }
  return marks.slice(0, count);
}
