/** The connection goes, the server is started again, the night comes, another bench has the same car. */
import assert from "node:assert/strict";

import { Hands } from "../harness/hands.ts";
import { journey } from "../harness/journey.ts";

const TABLET = { size: "tablet", scheme: "light" } as const;
const NO_CONNECTION = /ERR_INTERNET_DISCONNECTED|ERR_CONNECTION|ERR_EMPTY_RESPONSE|ERR_SOCKET/;

journey("the connection is lost in mid-entry and nothing that was typed is lost", "sample", async (club) => {
  const hands = new Hands(await club.member("Inspector", TABLET));
  const { page, context } = hands.visit;
  hands.visit.expectTrouble(NO_CONNECTION);
  const { car } = await hands.car("QVL 101");
  await hands.read(car, "wheelsets");
  const before = (await hands.story(car)).length;
  await hands.caliper("14.43 mm");
  await hands.entered();
  await context.setOffline(true);
  await page.locator(".reading input[type=text]").nth(1).focus();
  await hands.caliper("14.41 mm", "14.42 mm");
  await page.keyboard.type("14.4");
  await page.getByText("Connection lost").waitFor();
  await page.getByText("2 readings wait here").waitFor();
  await hands.visit.audit("bench-offline");
  await context.setOffline(false);
  await page.waitForFunction(() => document.querySelector(".reading.waiting") === null);
  await page.locator(".kept").waitFor({ state: "hidden" });
  const story = (await hands.story(car)).slice(before);
  assert.equal(story.length, 3, story.join("\n"));
  assert.match(story[1] ?? "", /14\.41 mm/);
  assert.match(story[2] ?? "", /14\.42 mm/);
  // The half-typed one is no reading; it is found in its field on another day.
  await page.goto("/bench");
  await page.getByText("Left in hand here").waitFor();
  await page.getByText("1 field typed and not entered").waitFor();
  await hands.visit.audit("bench-room-left");
  await hands.open(car, "wheelsets");
  assert.equal(await page.locator(".reading input[type=text]").nth(3).inputValue(), "14.4");
});

journey("the server is started again while somebody types, and every reading is entered once", "sample", async (club) => {
  const hands = new Hands(await club.member("Inspector", TABLET));
  const { page } = hands.visit;
  hands.visit.expectTrouble(NO_CONNECTION);
  const { car } = await hands.car("QVL 101");
  await hands.read(car, "wheelsets");
  const before = (await hands.story(car)).length;
  await club.stop();
  await page.locator(".reading input[type=text]").first().focus();
  await hands.caliper("14.43 mm", "14.42 mm");
  await page.getByText("2 readings wait here").waitFor();
  await club.restart();
  await hands.entered();
  const story = (await hands.story(car)).slice(before);
  assert.equal(story.length, 2, story.join("\n"));
});

journey("two benches on one car: the later one sees what the other entered, and nothing is overwritten", "sample", async (club) => {
  const first = new Hands(await club.member("Inspector", TABLET));
  const second = new Hands(await club.member("Lead", { size: "desktop", scheme: "dark" }));
  const { car } = await first.car("QVL 101");
  await first.read(car, "weight");
  await second.read(car, "weight");
  await first.caliper("3.81 oz");
  await first.entered();
  await second.caliper("3.79 oz");
  const { page } = second.visit;
  await page.getByText("Another bench entered something on this car").waitFor();
  await page.locator("#meanwhile").getByText(/Inspector.*3\.81 oz/).waitFor();
  assert.equal(await page.locator(".reading input[type=text]").first().inputValue(), "3.79 oz");
  await second.visit.audit("bench-conflict");
  await page.keyboard.press("Enter");
  await second.entered();
  const story = (await first.story(car)).slice(-2);
  assert.match(story[0] ?? "", /3\.81 oz/);
  assert.match(story[1] ?? "", /3\.79 oz/);
});
