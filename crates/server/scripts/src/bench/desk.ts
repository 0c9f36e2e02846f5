/** The fields of the open check: what is typed is entered by Enter, by a tap on an answer, or by the
    button; one thing at a time is on its way, so that every entry names the version before it. */
import { Kept, newId, type Waiting } from "./kept.ts";
import { type Answer, post, Refused } from "./wire.ts";

/** Pause after which what is typed is kept. */
const PAUSE_MS = 400;
/** How often a lost connection is tried again. */
const AGAIN_MS = 2_500;

const LOST =
  "Connection lost. Go on: what you type is kept here, and entered once when the connection is back.";
const SIGNED_OUT = "You are signed out. What you typed is kept here and is entered after you sign in.";

type Field = HTMLInputElement;

export class Desk {
  private readonly kept: Kept;
  private readonly path: string;
  private readonly banner: HTMLElement;
  private readonly pauses = new Map<string, number>();
  private busy = false;
  private again = 0;
  /** The last field that had the cursor, to which digits return. */
  private last: Field | undefined;

  constructor(private readonly form: HTMLFormElement) {
    const { car, member } = form.dataset;
    this.kept = new Kept(car ?? "", member ?? "");
    this.path = `/bench/${car}`;
    this.banner = form.querySelector<HTMLElement>(".kept") ?? document.createElement("p");
  }

  begin(): void {
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      for (const input of this.filled()) this.enter(input);
    });
    this.form.addEventListener("keydown", (event) => this.key(event));
    this.form.addEventListener("change", (event) => this.changed(event));
    this.form.addEventListener("input", (event) => {
      if (event.target instanceof HTMLInputElement && isText(event.target)) this.typed(event.target);
    });
    this.form.addEventListener("focusin", (event) => {
      if (event.target instanceof HTMLInputElement && isText(event.target)) this.last = event.target;
    });
    document.addEventListener("keydown", (event) => this.strayKey(event));
    window.addEventListener("online", () => this.pump());
    window.addEventListener("offline", () => this.show(LOST));
    this.restore();
    void this.pump();
  }

  /** Puts back what was kept here and never reached the server. */
  private restore(): void {
    const lost = [...this.kept.drafts, ...this.kept.waiting.map((own) => [own.field, own.text] as const)];
    for (const [field, text] of lost) {
      const input = this.field(field);
      if (input !== undefined && isText(input) && input.value === "") input.value = text;
    }
    for (const own of this.kept.waiting) this.mark(own.field, "waiting");
  }

  private key(event: KeyboardEvent): void {
    const input = event.target;
    if (event.key !== "Enter" || !(input instanceof HTMLInputElement) || !isText(input)) return;
    event.preventDefault();
    if (input.value.trim() === "") return;
    this.enter(input);
    this.next(input)?.focus();
  }

  /** A caliper types wherever the cursor is: digits that would go nowhere go to the field in turn. */
  private strayKey(event: KeyboardEvent): void {
    const at = document.activeElement;
    const inField = at instanceof HTMLInputElement || at instanceof HTMLTextAreaElement || at instanceof HTMLSelectElement;
    if (inField || event.ctrlKey || event.metaKey || event.altKey || !/^[0-9.,-]$/.test(event.key)) return;
    const open = this.last !== undefined && this.last.value === "" ? this.last : this.empty();
    open?.focus();
  }

  private changed(event: Event): void {
    const input = event.target;
    if (!(input instanceof HTMLInputElement)) return;
    if (input.type === "radio") this.enter(input);
    if (input.type === "checkbox" && input.name.startsWith("sure.") && input.checked) {
      const field = this.field(input.name.slice("sure.".length));
      if (field !== undefined && field.value.trim() === input.value.trim()) this.enter(field, true);
      else input.checked = false;
    }
  }

  /** Keeps what stands in a field after a pause. */
  typed(input: Field): void {
    const field = input.name;
    this.mark(field, "");
    this.kept.draft(field, input.value);
    window.clearTimeout(this.pauses.get(field));
    this.pauses.set(field, window.setTimeout(() => this.settle(field), PAUSE_MS));
  }

  private settle(field: string): void {
    window.clearTimeout(this.pauses.get(field));
    this.pauses.delete(field);
    void this.pump();
  }

  /** Enters what stands in a field. */
  enter(input: Field, sure = false): void {
    const [field, text] = [input.name, input.value.trim()];
    const same = (own: Waiting): boolean => own.field === field && own.text === text;
    if (text === "" || (!sure && this.kept.waiting.some(same))) return;
    window.clearTimeout(this.pauses.get(field));
    this.pauses.delete(field);
    this.kept.add({ id: newId(), field, text, instrument: this.instrument(input), sure });
    this.mark(field, "waiting");
    void this.pump();
  }

  /** Sends what waits, one after the other: readings first, then fields as they stand. */
  private async pump(): Promise<void> {
    if (this.busy) return;
    this.busy = true;
    window.clearTimeout(this.again);
    try {
      for (let more = true; more; ) {
        const own = this.kept.waiting[0];
        more = own === undefined ? await this.sendDraft() : await this.send(own);
      }
      this.banner.hidden = true;
    } catch (error) {
      this.failed(error);
    } finally {
      this.busy = false;
    }
  }

  /** True where there may be more to send. */
  private async sendDraft(): Promise<boolean> {
    const ready = [...this.kept.drafts].find(([field]) => !this.pauses.has(field));
    if (ready === undefined) return false;
    const [field, text] = ready;
    await post(`${this.path}/draft`, { field, text });
    this.kept.drafted(field, text);
    return true;
  }

  private async send(own: Waiting): Promise<boolean> {
    const { id, ...rest } = own;
    try {
      const response = await post(`${this.path}/entry`, {
        client_id: id,
        version: Number(this.hidden("version")),
        check: this.hidden("check"),
        pass: this.hidden("pass"),
        ...rest,
      });
      this.take(own, (await response.json()) as Answer);
    } catch (error) {
      if (!(error instanceof Refused) || error.later || error.signedOut) throw error;
      this.giveBack(own);
      this.say(error.detail);
    }
    return true;
  }

  private take(own: Waiting, answer: Answer): void {
    const input = this.field(own.field);
    for (const version of this.form.querySelectorAll<Field>("input[name=version]")) {
      version.value = String(answer.version);
    }
    document.getElementById("meanwhile")?.remove();
    for (const part of answer.parts) this.put(part.id, part.html);
    this.say(answer.said);
    if (answer.outcome === "entered") {
      this.kept.drop(own.id);
      this.mark(own.field, "");
      if (input !== undefined) this.entered(input, own.text);
      return;
    }
    this.giveBack(own);
    this.mark(own.field, "fault");
    // Readings behind it were made without knowing of this: each goes back to its field.
    if (answer.outcome === "conflict") for (const later of [...this.kept.waiting]) this.giveBack(later);
    const elsewhere = document.activeElement;
    const typing = elsewhere instanceof HTMLInputElement && elsewhere !== input && elsewhere.value !== "";
    if (input !== undefined && isText(input) && !typing) {
      input.focus();
      input.select();
    }
  }

  private entered(input: Field, text: string): void {
    if (isText(input)) {
      if (input.value.trim() !== text) return;
      input.value = "";
      if (document.activeElement === input && this.next(input) === undefined) this.onward()?.focus();
    } else {
      input.dataset["entered"] = text;
    }
  }

  /** A reading that was not entered stands in its field as something typed. */
  private giveBack(own: Waiting): void {
    this.kept.drop(own.id);
    this.mark(own.field, "");
    this.kept.draft(own.field, own.text);
    const input = this.field(own.field);
    if (input !== undefined && isText(input) && input.value === "") input.value = own.text;
  }

  private failed(error: unknown): void {
    if (error instanceof Refused && error.signedOut) {
      const back = encodeURIComponent(location.pathname + location.search);
      const link = document.createElement("a");
      link.href = `/sign-in?back=${back}`;
      link.className = "button";
      link.textContent = "Sign in";
      this.show(SIGNED_OUT, link);
      return;
    }
    this.show(error instanceof Refused ? `${error.detail}. What you typed is kept here.` : LOST);
    this.again = window.setTimeout(() => void this.pump(), AGAIN_MS);
  }

  private show(words: string, link?: HTMLElement): void {
    const count = this.kept.waiting.length;
    const waits = count === 0 ? "" : ` ${count === 1 ? "1 reading waits" : `${count} readings wait`} here.`;
    this.banner.replaceChildren(words + waits, ...(link === undefined ? [] : [" ", link]));
    this.banner.hidden = false;
  }

  private put(id: string, html: string): void {
    const frame = document.createElement("template");
    frame.innerHTML = html;
    const old = document.getElementById(id);
    if (old !== null) old.replaceWith(frame.content);
    else if (id === "meanwhile") this.form.before(frame.content);
  }

  private say(words: string): void {
    const place = this.form.querySelector(".said");
    if (place !== null) place.textContent = words;
  }

  private mark(field: string, state: "" | "waiting" | "fault"): void {
    for (const input of this.form.querySelectorAll<Field>(`[name="${CSS.escape(field)}"]`)) {
      input.toggleAttribute("aria-invalid", false);
      if (state === "fault") input.setAttribute("aria-invalid", "true");
      input.closest(".reading")?.classList.toggle("waiting", state === "waiting");
    }
  }

  private hidden(name: string): string {
    return this.form.querySelector<Field>(`input[type=hidden][name="${name}"]`)?.value ?? "";
  }

  private field(name: string): Field | undefined {
    const all = this.form.querySelectorAll<Field>(`[name="${CSS.escape(name)}"]`);
    return [...all].find((own) => own.checked) ?? all[0];
  }

  private texts(): Field[] {
    const all = this.form.querySelectorAll<Field>(".reading input[type=text]");
    return [...all].filter((own) => own.checkVisibility());
  }

  private next(input: Field): Field | undefined {
    const all = this.texts();
    return all[all.indexOf(input) + 1];
  }

  private empty(): Field | undefined {
    return this.texts().find((own) => own.value === "");
  }

  private filled(): Field[] {
    const all = [...this.form.querySelectorAll<Field>(".reading input[name^='read.']")];
    return all.filter((own) =>
      isText(own) ? own.value.trim() !== "" : own.checked && own.dataset["entered"] === undefined,
    );
  }

  private instrument(input: Field): string {
    const name = input.dataset["instrument"];
    if (name === undefined) return "";
    return this.form.querySelector<HTMLSelectElement>(`select[name="${name}"]`)?.value ?? "";
  }

  private onward(): HTMLElement | null {
    return document.querySelector<HTMLElement>("#onward a");
  }
}

function isText(input: Field): boolean {
  return input.type === "text";
}
