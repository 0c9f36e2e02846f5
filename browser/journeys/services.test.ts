/** What the record does for those who are not at the bench: a photograph from a phone, a word from an
    owner, a mistake that stays readable. */
import assert from "node:assert/strict";
import type { Page } from "playwright-core";

import { journey } from "../harness/journey.ts";
import type { Visit } from "../harness/visit.ts";

const PHONE = { size: "phone", scheme: "light" } as const;
const DESK = { size: "desktop", scheme: "dark" } as const;

/** A photograph as a camera would send it: drawn in the page, since journeys carry no files. */
async function photograph(page: Page): Promise<Buffer> {
  const digits = await page.evaluate(() => {
    const canvas = document.createElement("canvas");
    canvas.width = 1600;
    canvas.height = 1200;
    const pen = canvas.getContext("2d");
    if (pen === null) throw new Error("no canvas");
    pen.fillStyle = "#7a4a2b";
    pen.fillRect(0, 0, 1600, 1200);
    pen.fillStyle = "#2b2b2b";
    pen.fillRect(200, 700, 1200, 160);
    return canvas.toDataURL("image/jpeg", 0.9).split(",")[1] ?? "";
  });
  return Buffer.from(digits, "base64");
}

/** The first car of the fleet that is not on the RIP track: its marks and its page. */
async function someCar(visit: Visit): Promise<{ mark: string; href: string }> {
  await visit.page.goto("/fleet?state=admitted");
  const link = visit.page.locator("ul.list a.car").first();
  const href = (await link.getAttribute("href")) ?? "";
  const mark = (await link.locator(".mark").textContent()) ?? "";
  return { mark, href };
}

journey("an operator bad-orders a car from his phone, with a photograph", "sample", async (club) => {
  const visit = await club.member("Operator", PHONE);
  const { page } = visit;
  const { mark, href } = await someCar(visit);
  await visit.lookAt("/report", "report");
  // Counted: the number, the defect, the button; the place and the photograph are further ones.
  await page.getByLabel("Number of the car").fill(mark);
  await page.getByText("left the rails").click();
  await page.getByText("axle 2").click();
  await page.getByText("Say more, or add a photograph").click();
  await page.getByLabel(/Photograph/).setInputFiles({
    name: "IMG_0001.jpg",
    mimeType: "image/jpeg",
    buffer: await photograph(page),
  });
  await page.getByRole("button", { name: "Bad-order it" }).click();
  await page.getByRole("status").waitFor();
  await visit.audit("reported");
  await page.goto(href);
  const picture = page.locator(".photos img");
  await picture.waitFor();
  await picture.scrollIntoViewIfNeeded();
  await page.waitForFunction(() => document.querySelector<HTMLImageElement>(".photos img")?.complete);
  const width = await picture.evaluate((image: HTMLImageElement) => image.naturalWidth);
  assert.equal(width, 1600, "the photograph is shown");
  await visit.audit("car-with-photograph");
});

journey("a file that is no photograph is refused in words", "sample", async (club) => {
  const visit = await club.member("Inspector", PHONE);
  const { page } = visit;
  visit.expectTrouble(/422/);
  const { href } = await someCar(visit);
  await page.goto(href);
  await page.getByText("Add a photograph").click();
  await page.getByLabel(/Photograph, JPEG/).setInputFiles({
    name: "drawing.jpg",
    mimeType: "image/jpeg",
    buffer: Buffer.from("<svg xmlns='http://www.w3.org/2000/svg' onload='alert(1)'/>"),
  });
  await page.getByRole("button", { name: "Keep it" }).click();
  await page.getByText("This is no JPEG or PNG photograph").waitFor();
  await visit.audit("photograph-refused");
});

journey("an owner is asked, answers, and the car no longer waits", "sample", async (club) => {
  const shop = await club.member("Inspector", DESK);
  const owner = await club.member("Owner", PHONE);
  await owner.lookAt("/my-cars", "my-cars");
  const link = owner.page.locator("li.card h2 a").last();
  const href = (await link.getAttribute("href")) ?? "";
  await shop.page.goto(href);
  await shop.page.getByText("Ask the owner").first().click();
  const form = shop.page.locator("form[action$='/asks']");
  await form.getByLabel("Kind of work").selectOption("couplers");
  await form.getByLabel("What is to be done, and why").fill("the A coupler droops; a strip under the box?");
  await form.getByRole("button").click();
  await shop.page.getByText("Consent wanted").first().waitFor();
  await shop.lookAt("/rip-track?show=consent%20wanted", "consent-wanted");

  await owner.page.goto("/my-cars");
  const card = owner.page.locator("li.card", { has: owner.page.locator(`a[href='${href}']`) });
  await card.getByText("the A coupler droops").first().waitFor();
  await owner.audit("my-cars-asked");
  await card.getByLabel(/What you want to say/).first().fill("glue nothing");
  await card.getByRole("button", { name: "Allow it" }).first().click();
  await owner.page.getByText("The owner allows work on couplers: glue nothing").waitFor();
  await owner.audit("answered");
  await shop.page.goto(href);
  assert.equal(await shop.page.getByText("Consent wanted").count(), 0);
});

journey("a mistake is struck and stays to be read in the story", "sample", async (club) => {
  const visit = await club.member("Inspector", DESK);
  const { page } = visit;
  const { href } = await someCar(visit);
  await page.goto(href);
  await page.getByText("Leave a note").click();
  await page.getByLabel("A note").fill("smells of glue");
  await page.getByRole("button", { name: "Add it" }).click();
  await page.locator("ol.story li", { hasText: "smells of glue" }).getByRole("link", { name: /strike/ }).click();
  await visit.audit("entry");
  await page.getByLabel("Why it is a mistake").fill("another car");
  await page.getByRole("button", { name: "Strike it" }).click();
  const struck = page.locator("ol.story li", { has: page.locator("s", { hasText: "smells of glue" }) });
  await struck.getByText(/by Inspector: another car/).waitFor();
  await visit.audit("struck");
  await page.goto(`${href}/change`);
  await visit.audit("change");
});

journey("the lead sees how the record is kept", "empty", async (club) => {
  const visit = await club.visit(PHONE);
  const { page } = visit;
  await page.goto(club.setUpPath);
  await page.getByLabel("Your name").fill("Ada");
  await page.getByLabel(/^Password/).fill("a good long one");
  await page.getByLabel("The same again").fill("a good long one");
  await page.getByRole("button").click();
  await page.goto("/keeping");
  await page.getByRole("button", { name: "Make and check a copy now" }).click();
  await page.getByText("every one readable").waitFor();
  await visit.audit("keeping");
});
