/** Every kind of bench page, at every size, in both colour schemes. */
import { Hands } from "../harness/hands.ts";
import { journey } from "../harness/journey.ts";
import { LOOKS, named } from "../harness/visit.ts";

const PAGES = [
  ["ZBR 107", "coupler height"],
  ["QVL 102", "wheelsets"],
  ["QVL 101", "look-over"],
  ["WQX 109", "balance"],
] as const;

for (const look of LOOKS) {
  journey(`the bench can be read and used by everybody (${named(look)})`, "sample", async (club) => {
    const visit = await club.member("Inspector", look);
    const hands = new Hands(visit);
    for (const [mark, check] of PAGES) {
      const { car } = await hands.car(mark);
      await hands.open(car, check);
      await visit.page.locator("#picture svg").waitFor();
      await visit.audit(`bench-${check.replace(" ", "-")}`);
      if (look.size === "desktop" && look.scheme === "light" && mark === "QVL 102") {
        await visit.documentPicture("bench-wheelsets");
      }
    }
    await visit.lookAt("/bench", "bench-room");
  });
}
