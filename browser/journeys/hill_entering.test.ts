/** What is entered on the hill by hand and from files: a line, a survey, a consist list, an order that is
    dragged. */
import assert from "node:assert/strict";
import type { Page } from "playwright-core";

import { journey } from "../harness/journey.ts";
import type { Look } from "../harness/visit.ts";

const DESK: Look = { size: "desktop", scheme: "light" };

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
  await page.locator("#drawing svg.plan").first().waitFor({ state: "attached" });
  await page.getByRole("button", { name: "Save it" }).first().click();
  await page.waitForURL(/hill\/lines\/\d+$/);
  await page.getByText("2.0 m long").waitFor();
});

/** A survey: 4 m straight, then a circle of 1 m to the left, rising 2 %; a point every 100 mm. */
function survey(): string {
  const rows = Array.from({ length: 60 }, (_, k) => {
    const s = 0.1 * k;
    const turned = Math.max(0, s - 4);
    const [x, y] = [Math.min(s, 4) + Math.sin(turned), 1 - Math.cos(turned)];
    return `${(1e3 * x).toFixed(1)},${(1e3 * y).toFixed(1)},${(20 * s).toFixed(2)}`;
  });
  return ["x,y,height", ...rows].join("\n") + "\n";
}

async function choose(page: Page, name: string, text: string): Promise<void> {
  const buffer = Buffer.from(text);
  await page.locator("details.import input[type=file]").setInputFiles({ name, mimeType: "text/csv", buffer });
  await page.waitForFunction((first) => {
    const field = document.querySelector<HTMLTextAreaElement>("details.import textarea");
    return field !== null && field.value.startsWith(first);
  }, text.slice(0, 20));
}

journey("a survey is read from its file, a bad row first, then drawn and saved", "sample", async (club) => {
  const visit = await club.member("Track lead", DESK);
  const { page } = visit;
  await page.goto("/hill/lines/new");
  await page.locator("[name=line-0-name]").fill("Surveyed Hill");
  await page.locator("[name=line-0-gauge]").fill("16.5 mm");
  await page.getByText("Take it from a file: a survey or a line file").click();
  await choose(page, "hill.csv", survey().replace("3000.0", "far"));
  await page.getByRole("button", { name: "Read it" }).click();
  await page.getByRole("alert").filter({ hasText: /Line 32, x: 'far'/ }).waitFor();
  // What was read stays in its field, to be mended where it stands.
  const field = page.locator("textarea[name=readings]");
  await field.fill((await field.inputValue()).replace("far", "3000.0"));
  await page.getByRole("button", { name: "Draw it" }).first().click();
  await page.getByText("What the survey says of itself").waitFor();
  await page.locator("#drawing svg.plan:visible").waitFor();
  await visit.audit("hill-survey");
  await visit.documentPicture("hill-survey");
  await page.getByRole("button", { name: "Save it" }).first().click();
  await page.waitForURL(/hill\/lines\/\d+$/);
  await page.getByText("5.9 m long").waitFor();
});

/** The vehicles of a make-up in the order in which they stand on the page. */
async function order(page: Page): Promise<string[]> {
  return page.locator("table.order input[name=vehicle]").evaluateAll((all) =>
    all.map((own) => (own as HTMLInputElement).value),
  );
}

journey("a consist list with a mistake is mended, and its cars are dragged to their places", "sample", async (club) => {
  const visit = await club.member("Lead", DESK);
  const { page } = visit;
  await page.goto("/hill/trains/new");
  await page.getByText("Take it from a consist list").click();
  const list = "vehicle,first_end,block\nMP 601,A,\nQVL 101,A,\nWQX 110,A,\nZBR 107,B,a\nWQX 111,A,a\nQVL 101,A,\n";
  await choose(page, "tonight.csv", list);
  await page.getByRole("button", { name: "Read it" }).click();
  await page.getByRole("alert").filter({ hasText: /Line 7: 'QVL 101' stands on line 3 already/ }).waitFor();
  await page.locator("details.import textarea").fill(list.replace(/QVL 101,A,\n$/, ""));
  await page.getByRole("button", { name: "Read it" }).click();
  await page.locator("table.order").waitFor();
  assert.deepEqual(await order(page), ["MP 601", "QVL 101", "WQX 110", "ZBR 107", "WQX 111"]);
  await page.getByText(/may not run: it is bad-ordered/).first().waitFor();

  // By the pointer: the flat to the rear, over the block.
  const grip = page.getByRole("button", { name: "Drag WQX 110" });
  await grip.scrollIntoViewIfNeeded();
  const from = await grip.boundingBox();
  const to = await page.locator("table.order tr", { hasText: "WQX 111" }).boundingBox();
  assert.ok(from && to);
  await page.mouse.move(from.x + from.width / 2, from.y + from.height / 2);
  await page.mouse.down();
  await page.mouse.move(from.x + from.width / 2, to.y + to.height - 4, { steps: 12 });
  await page.mouse.up();
  assert.deepEqual(await order(page), ["MP 601", "QVL 101", "ZBR 107", "WQX 111", "WQX 110"]);
  // By the arrows: a block goes with all of its cars.
  await page.getByRole("button", { name: "Drag ZBR 107" }).focus();
  await page.keyboard.press("ArrowUp");
  assert.deepEqual(await order(page), ["MP 601", "ZBR 107", "WQX 111", "QVL 101", "WQX 110"]);
  const positions = await page.locator("table.order input.position").evaluateAll((all) =>
    all.map((own) => (own as HTMLInputElement).value),
  );
  assert.deepEqual(positions, ["1", "2", "3", "4", "5"]);
  await visit.documentPicture("hill-make-up");
  await visit.audit("hill-make-up");

  await page.getByLabel("Name", { exact: true }).fill("Tonight");
  await page.getByRole("button", { name: "Save it" }).first().click();
  await page.waitForURL(/hill\/trains\/\d+$/);
  assert.deepEqual(await order(page), ["MP 601", "ZBR 107", "WQX 111", "QVL 101", "WQX 110"]);
});
