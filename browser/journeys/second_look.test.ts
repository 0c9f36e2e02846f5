/** A car with both couplers low: washers, a rest, the RIP track, the second look, and into the fleet. */
import assert from "node:assert/strict";

import { Hands } from "../harness/hands.ts";
import { journey } from "../harness/journey.ts";

const REST_MS = 6_000;

journey("a car is shimmed, rests, comes back by itself and is admitted after the second look", "sample", async (club) => {
  const visit = await club.member("Inspector", { size: "tablet", scheme: "light" });
  const hands = new Hands(visit);
  const { page } = visit;
  const { car } = await hands.car("ZBR 107");
  await hands.open(car, "coupler height");
  await page.getByText(/washer of/).first().waitFor();
  await visit.audit("bench-cure");
  await visit.documentPicture("bench-cure");
  await hands.tap(page.getByRole("button", { name: "This was done" }).first());
  await page.getByText("In doubt since something was changed").waitFor();
  await page.locator(".hindered").getByText(/it rests until/).waitFor();
  assert.equal(await hands.standing("ZBR 107"), "resting");
  await visit.audit("bench-resting");
  assert.equal(await page.getByRole("button", { name: "Admit", exact: true }).count(), 0);
  // The inspector strikes that rest and sets another: a moment instead of a day, so that this journey
  // sees its end.
  const { events } = (await (await page.request.get(`/api/cars/${car}`)).json()) as {
    events: { seq: number; kind: string }[];
  };
  const seq = events.filter((own) => own.kind === "rest").at(-1)?.seq;
  const strike = { client_id: "6".repeat(32), version: events.at(-1)?.seq, seq, why: "another rest is meant" };
  assert.equal((await page.request.post(`/api/bench/${car}/strikes`, { data: strike })).status(), 200);
  const bench = (await (await page.request.get(`/api/bench/${car}`)).json()) as { version: number };
  const until = new Date(Date.now() + REST_MS).toISOString().slice(0, 19);
  const rest = { client_id: "7".repeat(32), version: bench.version, until, why: "washers bedded by hand" };
  assert.equal((await page.request.post(`/api/cars/${car}/rest`, { data: rest })).status(), 200);
  // A second look during the rest would be too early, and admitting is refused.
  const early = { client_id: "8".repeat(32), version: bench.version + 1 };
  const refused = await page.request.post(`/api/cars/${car}/release`, { data: early });
  assert.equal(refused.status(), 422);
  await page.waitForTimeout(REST_MS);
  await page.goto("/bench");
  await page.getByText("Due for the second look").waitFor();
  await visit.audit("bench-room-due");
  await page.goto("/rip-track?all=yes");
  const card = page.locator(".card", { hasText: "ZBR 107" });
  await card.getByText("Due now").waitFor();
  await hands.tap(card.getByRole("link", { name: /bench/i }));
  await page.waitForURL(/\/bench\/\d+/);
  for (let step = 0; step < 12; step += 1) {
    const stale = page.locator("#checks a", { hasText: "stale" });
    if ((await stale.count()) === 0) break;
    await hands.tap(stale.first());
    await page.waitForLoadState();
    await readAgain(hands);
  }
  await visit.audit("bench-second-look");
  await hands.tap(page.getByRole("button", { name: "Admit", exact: true }));
  await page.waitForURL(/\/cars\/\d+/);
  assert.equal(await hands.standing("ZBR 107"), "admitted");
  await visit.audit("story-admitted");
});

/** Reads every field that was read before, with what it said then; couplers as the washers leave them. */
async function readAgain(hands: Hands): Promise<void> {
  const { page } = hands.visit;
  const fields = page.locator(".reading:has(input[type=text]):has-text('last:')");
  const texts = await fields.locator(".past").allTextContents();
  for (const [index, text] of texts.entries()) {
    const last = /last: (-?[\d.]+ ?[^ ,(]*)/.exec(text)?.[1] ?? "";
    await fields.nth(index).locator("input[type=text]").focus();
    const height = page.url().includes("coupler%20height");
    await hands.caliper(height ? ".388 in" : last);
    await hands.entered();
  }
}
