/** The lead takes a sheet with a mistake in: he sees it, matches a column, leaves out what cannot be read. */
import assert from "node:assert/strict";

import { journey } from "../harness/journey.ts";
import { LOOKS } from "../harness/visit.ts";

const SHEET = [
  "Car;Scale;Weight (oz);H1 (in);Remark",
  "TST 9001;HO;3,9;,391;fine",
  "TST 9002;HO;4,1 bananas;,390;",
  ";HO;4,0;,390;no number",
].join("\r\n");

journey("a sheet with mistakes is looked at, matched and entered without them", "sample", async (club) => {
  for (const look of LOOKS) {
    const visit = await club.member("Lead", look);
    const { page } = visit;
    await visit.lookAt("/fleet/export", "export");
    await visit.lookAt("/fleet/import", "import");
    const mark = `TST ${look.size}${look.scheme}`.toUpperCase();
    const buffer = Buffer.from(SHEET.replaceAll("TST 900", `${mark} 900`));
    await page.getByLabel("A sheet of cars or readings").setInputFiles({ name: "cars.csv", mimeType: "text/csv", buffer });
    await page.getByRole("button", { name: "Look at it" }).click();
    await page.getByText("3 rows: 2 taken, 1 refused").waitFor();
    await page.getByLabel("H1 (in)").fill("coupler height A (in)");
    await page.getByRole("button", { name: "Read them so" }).click();
    await page.getByText("3 readings and cures to enter").waitFor();
    await visit.audit("import-looked");
    if (look.size === "desktop" && look.scheme === "light") await visit.documentPicture("import");
    const table = (await page.getByLabel("What cannot be read").textContent()) ?? "";
    assert.match(table, /line 3/);
    assert.match(table, /bananas/);
    await page.getByLabel("Leave them out").check();
    await page.getByRole("button", { name: "Enter 2 new cars" }).click();
    await page.getByText("Entered: 2 new cars, 0 known, 3 readings and cures.").waitFor();
  }
});
