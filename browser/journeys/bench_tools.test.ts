/** The watches, the quick pass, and the inspector who takes over. */
import assert from "node:assert/strict";

import { Hands } from "../harness/hands.ts";
import { journey } from "../harness/journey.ts";

const TABLET = { size: "tablet", scheme: "dark" } as const;

journey("a spin is timed by the space bar and the seconds are entered with their unit", "sample", async (club) => {
  const hands = new Hands(await club.member("Inspector", TABLET));
  const { page } = hands.visit;
  const { car } = await hands.car("QVL 101");
  await hands.read(car, "spin");
  await page.keyboard.press("Space");
  await page.getByText(/Stop: /).first().waitFor();
  await page.waitForTimeout(1_200);
  await page.keyboard.press("Space");
  const field = page.locator(".reading input[type=text]").first();
  const text = await field.inputValue();
  assert.match(text, /^1\.[2-9]\d s$/);
  await hands.visit.audit("bench-watch");
});

journey("taps at the gates become the readings of a run", "sample", async (club) => {
  const hands = new Hands(await club.member("Inspector", TABLET));
  const { page } = hands.visit;
  const { car } = await hands.car("QVL 101");
  await hands.open(car, "car roll");
  const before = (await hands.story(car)).length;
  await hands.tap(page.locator("details.runs summary").first());
  await page.locator("details.runs").first().locator("input[type=text]").first().focus();
  await hands.caliper("2.0 %");
  for (let gate = 1; gate <= 9; gate += 1) {
    await hands.tap(page.getByRole("button", { name: `Run 1: tap at gate ${gate} of 9` }));
    await page.waitForTimeout(150);
  }
  await hands.entered();
  const story = (await hands.story(car)).slice(before);
  assert.equal(story.length, 10, story.join("\n"));
  assert.match(story[1] ?? "", /gate time at run 1, gate 1: 0\.00 s/);
  const last = Number(/gate 9: ([\d.]+) s/.exec(story[9] ?? "")?.[1]);
  assert.ok(last >= 8 * 0.15, `${last} s over nine gates`);
  await hands.visit.audit("bench-gates");
});

journey("a quick pass shows the rule book's short list and stays with it", "sample", async (club) => {
  const hands = new Hands(await club.member("Inspector", TABLET));
  const { page } = hands.visit;
  const { car } = await hands.car("QVL 101");
  await hands.open(car, "weight");
  assert.equal(await page.locator("#checks li").count(), 14);
  await hands.tap(page.getByRole("link", { name: "Quick pass" }));
  await page.waitForURL(/pass=quick/);
  assert.equal(await page.locator("#checks li").count(), 5);
  await hands.tap(page.locator("#checks a", { hasText: "coupler height" }));
  await page.waitForURL(/coupler/);
  assert.equal(await page.locator("#checks li").count(), 5);
  await hands.visit.audit("bench-quick");
});

journey("another inspector takes over with two taps and his PIN", "sample", async (club) => {
  const lead = await club.member("Lead", TABLET);
  await lead.page.goto("/account");
  const form = lead.page.locator("form[action='/account/pin']");
  await form.locator("input[name=password]").fill(club.samplePassword);
  await form.locator("input[name=pin]").fill("4711");
  await form.locator("button").click();
  await lead.page.waitForLoadState();
  const hands = new Hands(await club.member("Inspector", TABLET));
  const { page } = hands.visit;
  const { car } = await hands.car("QVL 101");
  await hands.read(car, "weight");
  await page.keyboard.type("3.8");
  await page.waitForTimeout(900);
  await hands.tap(page.getByText("Inspector is at the bench"));
  await hands.tap(page.locator(".hands label.tick", { hasText: "Lead" }));
  await hands.visit.audit("bench-take-over");
  await page.locator(".hands input[name=pin]").fill("4711");
  await page.keyboard.press("Enter");
  await page.getByText("Lead is at the bench").waitFor();
  assert.equal(hands.taps, 2);
  // The same car, the same check, and what the other had typed.
  assert.match(page.url(), /check=weight/);
  assert.equal(await page.locator(".reading input[type=text]").first().inputValue(), "3.8");
});
