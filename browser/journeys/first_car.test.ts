/** From an empty record to the first car in the fleet, as a new lead goes: no instructions read. */
import assert from "node:assert/strict";

import { Hands } from "../harness/hands.ts";
import { journey } from "../harness/journey.ts";
import type { Look } from "../harness/visit.ts";

const WALKS: readonly Look[] = [
  { size: "desktop", scheme: "light" },
  { size: "tablet", scheme: "dark" },
  { size: "phone", scheme: "light" },
];

/** Checks in the order of the page, with what is typed: an invented box car of 6 in that is in order.
    Limits: NMRA S-4.2 and RP-20.1, as the starter rule book has them. */
const READINGS: Record<string, readonly string[]> = {
  wheelsets: Array<string>(8).fill("14.43 mm"),
  seating: Array<string>(8).fill("0 mm"),
  "truck swing": Array<string>(4).fill("12"),
  droop: ["0.05 mm", "0.05 mm"],
  "coupler height": [".391", ".391"],
  weight: ["4.0 oz"],
  "car roll": ["1.6", "1.3"],
};

for (const look of WALKS) {
  journey(`from set-up to the first admitted car (${look.size}, ${look.scheme})`, "empty", async (club) => {
    const visit = await club.visit(look);
    const hands = new Hands(visit);
    const { page } = visit;
    const began = Date.now();
    await page.goto(club.setUpPath);
    await hands.type("Your name", "Ada");
    await hands.type(/Password, at least/, "long enough");
    await hands.type(/same again/, "long enough");
    await hands.tap(page.getByRole("button", { name: "Become the lead" }));
    await page.waitForURL(/\/bench/);
    await visit.audit("bench-room-empty");
    await hands.type("Marks and number", "FST 1");
    await hands.type("AAR type letters", "XM");
    await hands.type("Body length", "6 in");
    await hands.type("Truck centres", "4.2 in");
    await hands.type("Truck centre to coupler face", "1.2 in");
    await hands.tap(page.getByRole("button", { name: "Enter it" }));
    await page.waitForURL(/\/bench\/\d+/);
    for (let step = 0; step < 12; step += 1) {
      await oneCheck(hands);
      const onward = page.locator("#onward a").first();
      if (((await onward.textContent()) ?? "").startsWith("The rule book admits it")) break;
      await hands.tap(onward);
      await page.waitForLoadState();
    }
    await visit.audit("bench-admissible");
    await hands.tap(page.getByRole("button", { name: "Admit", exact: true }));
    await page.waitForURL(/\/cars\/\d+/);
    assert.equal(await hands.standing("FST 1"), "admitted");
    const seconds = ((Date.now() - began) / 1000).toFixed(0);
    console.log(`first car: ${hands.taps} taps, ${hands.fields} fields typed, ${seconds} s by machine`);
  });
}

/** Reads whatever check is open. */
async function oneCheck(hands: Hands): Promise<void> {
  const { page } = hands.visit;
  const open = (await page.locator("main h2", { hasNotText: "Checks" }).first().textContent()) ?? "";
  const check = open.toLowerCase();
  const readings = READINGS[check];
  if (readings !== undefined) {
    await hands.caliper(...readings);
  } else {
    const good = page.locator(".reading label.tick", { hasText: "good" });
    for (let index = 0; index < (await good.count()); index += 1) await hands.tap(good.nth(index));
  }
  await hands.entered();
  if (check === "seating") {
    // What the check lacks is said beside its form, and filled in there.
    await page.getByText("taking the gaps apart needs the truck wheelbase").waitFor();
    await hands.type("Wheelbase of a truck", "1.06 in");
    await hands.tap(page.getByRole("button", { name: "Enter these" }));
    await page.getByText("taking the gaps apart needs the truck wheelbase").waitFor({ state: "detached" });
  }
  if (check !== "look-over") await hands.visit.audit(`bench-${check.replace(" ", "-")}-read`);
}
