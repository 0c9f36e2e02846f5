/** The lead searches the fleet, asks what a closer limit would do, and puts a new edition in force. */
import assert from "node:assert/strict";

import { journey } from "../harness/journey.ts";
import { LOOKS } from "../harness/visit.ts";

journey("the fleet answers while it is typed into, and what it found can be kept", "sample", async (club) => {
  const visit = await club.member("Lead", { size: "desktop", scheme: "light" });
  const { page } = visit;
  await page.goto("/fleet");
  const status = page.locator("#found [role=status]");
  assert.match((await status.textContent()) ?? "", /1200 of 1200 cars/);
  await page.getByLabel("Any words").pressSequentially("hopper zbr");
  await page.waitForURL(/q=hopper\+zbr/);
  await page.waitForFunction(() => !document.querySelector("#found")?.textContent?.includes("1200 of"));
  const marks = await page.locator("#found .mark").allTextContents();
  assert.ok(marks.length > 0 && marks.every((mark) => mark.startsWith("ZBR")), marks.join());
  await visit.documentPicture("fleet");
  await page.reload();
  await page.getByLabel("Keep this search").fill("ZBR hoppers");
  await page.getByRole("button", { name: "Keep" }).click();
  await page.getByRole("link", { name: "ZBR hoppers" }).waitFor();
});

journey("a closer height is tried, drafted and put in force from a day", "sample", async (club) => {
  const visit = await club.member("Lead", { size: "desktop", scheme: "light" });
  const { page } = visit;
  await page.goto("/fleet/what-if");
  await page.getByLabel("Tolerance either way").fill(".004 in");
  await page.getByRole("button", { name: "Try it" }).click();
  const answer = (await page.locator("[role=status]").first().textContent()) ?? "";
  assert.match(answer, /^\d+ cars? would fail, 0 cars would come back/);
  await visit.documentPicture("what-if");

  await page.goto("/rules");
  await visit.documentPicture("rules");
  await page.getByLabel("Begin a draft called").fill("Closer heights");
  await page.getByRole("button", { name: "Begin" }).click();
  await page.locator("form[action$='/limit']").getByLabel("Tolerance").fill("0.004 in");
  await page.locator("form[action$='/limit']").getByLabel("Source: publication").fill("club meeting");
  await page.getByRole("button", { name: "Change it in the draft" }).click();
  await page.getByText("club meeting (club)").first().waitFor();
  // The draft tried on the fleet says what the question said.
  assert.equal(await page.locator("[role=status]").first().textContent(), answer);
  await visit.audit("draft");
  await visit.documentPicture("draft");
  await page.getByRole("button", { name: "Put in force from that day" }).click();
  await page.waitForURL(/\/rules\?edition=5/);
  assert.match((await page.locator("main").textContent()) ?? "", /edition 5/);
  await page.getByLabel("Words of its name").fill("HO coupler height");
  // The list follows the words; what was opened before it came would be closed again.
  await page.getByText("One setting").waitFor();
  await page.getByText("So since edition 5").first().click();
  await page.locator("#settings").evaluate((own) => own.scrollIntoView({ block: "center" }));
  await visit.documentPicture("new-edition");
  await visit.audit("new-edition");
});

journey("a lot is entered on all cars of a search, and compared with the rest", "sample", async (club) => {
  const visit = await club.member("Inspector", { size: "desktop", scheme: "light" });
  const { page } = visit;
  await page.goto("/fleet?q=hopper+zbr");
  const count = ((await page.locator("#found strong").first().textContent()) ?? "").trim();
  await page.getByRole("link", { name: "Enter a part or lot on them" }).click();
  await page.getByText(`For ${count} cars`).waitFor();
  await visit.audit("fit");
  await page.locator("select[name=part]").selectOption("wheelset");
  await page.locator("select[name=place]").selectOption("car");
  await page.getByLabel("Maker and kind").fill("steel, 33 in");
  await page.getByLabel("Lot, where known").fill("W-2026-11");
  await page.getByRole("button", { name: "Enter the part" }).click();
  await page.waitForURL(/lot=W-2026-11/);
  assert.equal((await page.locator("#found strong").first().textContent())?.trim(), count);
  await page.goto("/fleet/lots");
  const row = page.getByRole("row", { name: /W-2026-11/ });
  assert.match((await row.textContent()) ?? "", new RegExp(`${count}`));
  await row.getByRole("link", { name: "Compare" }).click();
  await page.getByText("wheelset, steel, 33 in, lot W-2026-11").waitFor();
  await visit.audit("lots-compared");
  await visit.documentPicture("lots");
});

journey("the fleet's rooms can be read and used by everybody", "sample", async (club) => {
  for (const look of LOOKS) {
    const visit = await club.member("Lead", look);
    await visit.lookAt("/fleet?q=flat&measure=weight&sort=reading", "fleet-sorted");
    await visit.lookAt("/fleet/spread?of=coupler+height&car=ZBR+107", "spread");
    await visit.lookAt("/fleet/what-if?limit=weight&of_scale=HO&tolerance=.25+oz", "what-if");
    await visit.lookAt("/fleet/lots", "lots");
    await visit.lookAt("/rules?words=ho", "rules");
    await visit.lookAt("/cars/1", "car");
  }
});
