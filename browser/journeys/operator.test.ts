/** An operator in a session, with a telephone in his hand. */
import assert from "node:assert/strict";

import { Hands } from "../harness/hands.ts";
import { journey } from "../harness/journey.ts";

for (const scheme of ["light", "dark"] as const) {
  journey(`an operator bad-orders a car by telephone and may not release it (${scheme})`, "sample", async (club) => {
    const visit = await club.member("Operator", { size: "phone", scheme });
    const hands = new Hands(visit);
    const { page } = visit;
    await visit.lookAt("/report", "report");
    await hands.type(/Number of the car/, "QVL 101");
    await hands.tap(page.getByText("left the rails", { exact: true }));
    await visit.audit("report-filled");
    await hands.tap(page.getByRole("button", { name: "Bad-order it" }));
    await page.getByText("QVL 101").first().waitFor();
    await visit.audit("report-sent");
    assert.equal(await hands.standing("QVL 101"), "bad-ordered");
    // He may not release it again: neither by the page nor around it.
    visit.expectTrouble(/403/);
    const { car } = await hands.car("QVL 101");
    await page.goto(`/bench/${car}`);
    await page.getByText("Not allowed").first().waitFor();
    await visit.audit("not-allowed");
    const body = { client_id: "0".repeat(32), version: 1 };
    const answer = await page.request.post(`/api/cars/${car}/release`, { data: body });
    assert.equal(answer.status(), 403);
    assert.equal(await hands.standing("QVL 101"), "bad-ordered");
  });
}
