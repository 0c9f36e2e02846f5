/** Waits for advice and puts each part on the page when it is there; what stands there already stays. */

const PAUSE_MS = 700;

interface Job {
  readonly state: string;
  readonly parts: number;
  readonly done: number;
  readonly total: number;
}

export async function awaitAdvice(section: HTMLElement): Promise<void> {
  const job = section.dataset["job"];
  if (job === undefined) return;
  let parts = -1;
  for (;;) {
    await new Promise((done) => setTimeout(done, PAUSE_MS));
    const answer = await fetch(job);
    if (!answer.ok) return;
    const own = (await answer.json()) as Job;
    const goesOn = own.state === "waiting" || own.state === "running";
    const bar = section.querySelector("progress");
    if (bar !== null && own.total > 0) {
      bar.max = own.total;
      bar.value = own.done;
    }
    if (own.parts !== parts || !goesOn) {
      parts = own.parts;
      await renew(section);
    }
    if (!goesOn) return;
  }
}

/** Puts in what is new: nothing that a hand may be on its way to is moved without need. */
async function renew(section: HTMLElement): Promise<void> {
  const page = await fetch(location.href);
  if (!page.ok) return;
  const fresh = new DOMParser().parseFromString(await page.text(), "text/html");
  const parts = fresh.querySelectorAll<HTMLElement>("section.advice > [data-part]");
  let before: Element | null = null;
  for (const part of parts) {
    const own = document.adoptNode(part);
    const name = own.dataset["part"] ?? "";
    const old = [...section.querySelectorAll<HTMLElement>(":scope > [data-part]")].find(
      (other) => other.dataset["part"] === name,
    );
    if (old === undefined) {
      if (before === null) section.append(own);
      else before.after(own);
      before = own;
    } else if (old.outerHTML === own.outerHTML) {
      before = old;
    } else {
      old.replaceWith(own);
      before = own;
    }
  }
}
