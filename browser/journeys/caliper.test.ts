/** A caliper or a scale types digits and Enter; nobody touches the screen. */
import assert from "node:assert/strict";

import { Hands } from "../harness/hands.ts";
import { journey } from "../harness/journey.ts";

const DESK = { size: "desktop", scheme: "light" } as const;

journey("a whole check is entered by keyboard alone", "sample", async (club) => {
  const hands = new Hands(await club.member("Inspector", DESK));
  const { page } = hands.visit;
  const { car } = await hands.car("QVL 101");
  await hands.read(car, "wheelsets");
  const before = (await hands.story(car)).length;
  const readings = [".5680", ".5682", "14.43mm", "14.44 mm", ".5679", ".5681", ".5680", ".5680"];
  await hands.caliper(...readings);
  await hands.entered();
  const story = await hands.story(car);
  assert.equal(story.length - before, readings.length, story.slice(before).join("\n"));
  readings.forEach((text, index) => {
    assert.ok(story[before + index]?.includes(text), `${text} in ${story[before + index]}`);
  });
  // Each stands beside its field, with a verdict, without the page having been loaded again.
  const first = page.locator(".reading").first();
  await first.getByText("last: 14.427 mm").waitFor();
  await first.locator(".chip").waitFor();
});

journey("a slip is questioned before it is entered, and entered as typed when it is meant", "sample", async (club) => {
  const hands = new Hands(await club.member("Inspector", DESK));
  const { page } = hands.visit;
  const { car } = await hands.car("QVL 101");
  await hands.read(car, "coupler height");
  const before = (await hands.story(car)).length;
  await hands.caliper("1.45 in");
  await page.getByText(/Really 1\.45 in\? The last was/).first().waitFor();
  assert.equal((await hands.story(car)).length, before, "nothing may be entered before the answer");
  await hands.visit.audit("bench-question");
  await hands.tap(page.getByText("Yes, 1.45 in is meant"));
  await hands.entered();
  assert.match((await hands.story(car)).at(-1) ?? "", /coupler height at A end: 1\.45 in/);
  // A mistake after all: struck with who and why, and still readable.
  await hands.tap(page.locator("#lately summary").first());
  await hands.tap(page.getByRole("button", { name: "Mistyped" }).first());
  await page.locator("#lately s").first().waitFor();
  assert.equal((await hands.story(car)).filter((own) => own.includes("1.45 in")).length, 0);
  await hands.visit.audit("bench-struck");
});

journey("what cannot be read is said, and the field keeps it", "sample", async (club) => {
  const hands = new Hands(await club.member("Inspector", DESK));
  const { page } = hands.visit;
  const { car } = await hands.car("QVL 101");
  await hands.read(car, "weight");
  const before = (await hands.story(car)).length;
  await hands.caliper("four oz");
  await page.locator(".fault").waitFor();
  assert.equal(await page.locator(".reading input").first().inputValue(), "four oz");
  assert.equal((await hands.story(car)).length, before);
  // The cursor is back in the field with its text marked, so the next reading takes its place.
  await hands.caliper("3.8 oz");
  await hands.entered();
  assert.match((await hands.story(car)).at(-1) ?? "", /weight at car: 3\.8 oz/);
});
