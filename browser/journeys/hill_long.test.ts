/** The longest train on the longest film: more than a hundred vehicles at some ten thousand places. */
import assert from "node:assert/strict";

import { frameTimes, LONG_MS, quantile, ready } from "../harness/hill.ts";
import { journey } from "../harness/journey.ts";

/** One frame of thirty a second. */
const FRAME_MS = 33;
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
  const found = (await (await page.request.get("/api/fleet?state=admitted&limit=200")).json()) as {
    cars: { mark: string }[];
  };
  const cars = found.cars.slice(0, CARS).map((car) => car.mark);
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
  const frames = await frameTimes(page);
  const [median, late] = [quantile(frames, 0.5), quantile(frames, 0.95)];
  console.log(`${vehicles} vehicles, ${places} places: median ${median} ms, 95 % within ${late} ms`);
  // The slowest frames tell more of what else the machine does; the median is the page's own.
  assert.ok(Number(median) < FRAME_MS, `median frame of ${median} ms`);
});
