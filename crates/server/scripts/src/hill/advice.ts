/** Waits for advice and puts it on the page when it is there. */

const PAUSE_MS = 700;

export async function awaitAdvice(section: HTMLElement): Promise<void> {
  const job = section.dataset["job"];
  if (job === undefined) return;
  for (;;) {
    await new Promise((done) => setTimeout(done, PAUSE_MS));
    const answer = await fetch(job);
    if (!answer.ok) return;
    const { state } = (await answer.json()) as { state: string };
    if (state === "waiting" || state === "running") continue;
    const page = await fetch(location.href);
    if (!page.ok) return;
    const fresh = new DOMParser().parseFromString(await page.text(), "text/html");
    const found = fresh.querySelector("section.advice");
    if (found !== null) section.replaceWith(document.adoptNode(found));
    return;
  }
}
