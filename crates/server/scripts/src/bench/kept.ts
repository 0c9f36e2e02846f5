/** What is kept in the browser while the server cannot be reached: readings to be entered, in order, and
    fields as they stand. One store a car; it outlives the page and the night. */

/** A reading on its way. */
export interface Waiting {
  /** 32 hexadecimal digits: sent twice, it is entered once. */
  readonly id: string;
  readonly field: string;
  readonly text: string;
  readonly instrument: string;
  readonly sure: boolean;
}

interface Store {
  /** Who typed it: nobody's reading is entered under another name. */
  member: string;
  waiting: Waiting[];
  /** Fields that the server has not taken yet; an empty text is one that was emptied. */
  drafts: Record<string, string>;
}

export class Kept {
  private readonly key: string;
  private readonly store: Store;

  constructor(car: string, member: string) {
    this.key = `gradeworthy.bench.${car}`;
    this.store = this.read(member);
  }

  private read(member: string): Store {
    const fresh: Store = { member, waiting: [], drafts: {} };
    try {
      const found = JSON.parse(localStorage.getItem(this.key) ?? "null") as Store | null;
      if (found === null) return fresh;
      if (found.member === member) return found;
      // Another member's readings become what was typed and not entered, for whoever is here to judge.
      for (const own of found.waiting) fresh.drafts[own.field] = own.text;
      return { ...fresh, drafts: { ...found.drafts, ...fresh.drafts } };
    } catch {
      return fresh;
    }
  }

  private write(): void {
    const { waiting, drafts } = this.store;
    try {
      if (waiting.length === 0 && Object.keys(drafts).length === 0) {
        localStorage.removeItem(this.key);
      } else {
        localStorage.setItem(this.key, JSON.stringify(this.store));
      }
    } catch {
      // A browser that keeps nothing still has the fields of the open page.
    }
  }

  get waiting(): readonly Waiting[] {
    return this.store.waiting;
  }

  get drafts(): ReadonlyMap<string, string> {
    return new Map(Object.entries(this.store.drafts));
  }

  add(own: Waiting): void {
    delete this.store.drafts[own.field];
    this.store.waiting.push(own);
    this.write();
  }

  /** It is entered, or was given back to its field. */
  drop(id: string): void {
    this.store.waiting = this.store.waiting.filter((own) => own.id !== id);
    this.write();
  }

  draft(field: string, text: string): void {
    this.store.drafts[field] = text;
    this.write();
  }

  /** The server has this draft, unless more was typed meanwhile. */
  drafted(field: string, text: string): void {
    if (this.store.drafts[field] === text) delete this.store.drafts[field];
    this.write();
  }
}

export function newId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}
