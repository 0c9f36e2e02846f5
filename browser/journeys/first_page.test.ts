/** The pages that anybody sees, at every size, in both colour schemes. */
import { journey } from "../harness/journey.ts";
import { LOOKS } from "../harness/visit.ts";

journey("the first page of a new club can be read and used by everybody", "empty", async (club) => {
  for (const look of LOOKS) {
    const visit = await club.visit(look);
    await visit.lookAt(club.setUpPath, "set-up");
    await visit.lookAt("/sign-in", "sign-in");
  }
});

journey("the rooms of the sample club can be read and used by everybody", "sample", async (club) => {
  for (const look of LOOKS) {
    const visit = await club.member("Lead", look);
    for (const room of ["bench", "rip-track", "fleet", "report", "members", "audit", "account"]) {
      await visit.lookAt(`/${room}`, room);
    }
  }
});
