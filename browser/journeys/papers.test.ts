/** Papers from their pages: labels of many cars, a shop tag, the slip of a report by telephone. What a code
    on them says is read back by `crates/paper`'s own tests; here its address is followed. */
import assert from "node:assert/strict";
import type { Page } from "playwright-core";

import { Hands } from "../harness/hands.ts";
import { journey } from "../harness/journey.ts";
import { LOOKS, type Visit } from "../harness/visit.ts";

/** Labels on a plain sheet of A4, cut: 4 beside each other in 12 rows. */
const ON_A_SHEET = 48;

/** The PDF that a button leads to, whole, by way of what there is to know first. */
async function printed(page: Page, press: () => Promise<void>): Promise<string> {
  const isPrint = (kind: string | undefined): boolean => kind === "application/pdf";
  const arrival = page.waitForResponse((answer) => {
    const kind = answer.headers()["content-type"];
    return isPrint(kind) || new URL(answer.url()).searchParams.has("paper");
  });
  await press();
  let answer = await arrival;
  if (!isPrint(answer.headers()["content-type"])) {
    await page.getByText("This is to be known of it first").waitFor();
    const again = page.getByRole("link", { name: "Print it so" });
    const address = await again.getAttribute("href");
    assert.ok(address !== null);
    const fetched = await page.request.get(address);
    assert.equal(fetched.headers()["content-type"], "application/pdf");
    return whole(await fetched.body());
  }
  // A browser hands a print on to its viewer; what it got is asked for once more.
  return whole(await (await page.request.get(answer.url())).body());
}

function whole(bytes: Buffer): string {
  const text = bytes.toString("latin1");
  assert.ok(text.startsWith("%PDF-1.7"), text.slice(0, 40));
  assert.match(text.trimEnd(), /%%EOF$/);
  return text;
}

const pages = (pdf: string): number => [...pdf.matchAll(/\/Type\s*\/Page\b(?!s)/g)].length;

async function cars(page: Page, query: string): Promise<number> {
  const answer = await page.request.get(`/api/fleet?${query}`);
  return ((await answer.json()) as { count: number }).count;
}

async function section(visit: Visit, heading: string) {
  const { page } = visit;
  return page.locator("section", { has: page.getByRole("heading", { name: heading, exact: true }) });
}

journey("labels, a tag and a slip arrive whole, and their address leads to the car", "sample", async (club) => {
  const lead = await club.member("Lead", { size: "desktop", scheme: "light" });
  // A browser that shows a print asks for the icon that a page would have named.
  lead.expectTrouble(/favicon\.ico/);
  await lead.page.goto("/papers");
  await lead.page.getByLabel("Address, such as").fill(club.base);
  await lead.page.getByRole("button", { name: "Set it" }).click();
  await lead.page.waitForURL("/papers");
  const labels = await section(lead, "Labels of many cars");
  await labels.getByLabel("A part of the marks").fill("QVL");
  await lead.documentPicture("papers");
  const count = await cars(lead.page, "q=QVL");
  const sheet = await printed(lead.page, () => labels.getByRole("button", { name: "Print" }).click());
  assert.equal(pages(sheet), Math.ceil(count / ON_A_SHEET), `${count} labels`);

  // A car is reported by telephone, and its slip is printed from the report.
  const operator = await club.member("Operator", { size: "phone", scheme: "light" });
  const hands = new Hands(operator);
  await operator.page.goto("/report");
  await hands.type(/Number of the car/, "QVL 101");
  await hands.tap(operator.page.getByText("left the rails", { exact: true }));
  await hands.tap(operator.page.getByRole("button", { name: "Bad-order it" }));
  const slip = operator.page.getByRole("link", { name: "Print its slip" });
  await slip.waitFor();
  const address = await slip.getAttribute("href");
  assert.match(address ?? "", /^\/cars\/\d+\/slip$/);
  const answer = await operator.page.request.get(`${address}?anyway=yes`);
  assert.equal(pages(whole(await answer.body())), 1);

  const { car } = await hands.car("QVL 101");
  await lead.page.goto(`/cars/${car}/papers`);
  await lead.page.getByRole("heading", { name: "Bad-order slip" }).waitFor();
  const tags = await section(lead, "Shop tag");
  const tag = await printed(lead.page, () => tags.getByRole("button", { name: "Print" }).click());
  assert.equal(pages(tag), 1);
  // What a telephone is led to by the code on label, tag and slip.
  await operator.page.goto(`${club.base}/cars/${car}`);
  assert.match((await operator.page.locator("h1").textContent()) ?? "", /QVL 101/);
});

journey("the pages of papers can be read and used by everybody", "sample", async (club) => {
  for (const look of LOOKS) {
    const visit = await club.member("Lead", look);
    await visit.lookAt("/papers", "papers");
    await visit.lookAt("/cars/1/papers", "car-papers");
  }
});
