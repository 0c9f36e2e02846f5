/** A journey: a club of its own, people who visit it at a size and in a colour scheme, and the rule that
    no page complains on its console and no request fails unless the journey says so beforehand. */
import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import { type Browser, chromium } from "playwright-core";

import { copySample } from "./sample.ts";
import { type Server, serve } from "./server.ts";
import { type Look, Visit } from "./visit.ts";

const CHROMIUM = process.env["CHROMIUM"] ?? "/usr/bin/chromium";
const JOURNEY_MS = 240_000;

let browser: Browser | undefined;
after(async () => browser?.close());

async function theBrowser(): Promise<Browser> {
  browser ??= await chromium.launch({
    executablePath: CHROMIUM,
    args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
  });
  return browser;
}

/** Which record a journey begins with: none at all, or the sample club. */
export type Kind = "empty" | "sample";

export class Club {
  private readonly visits: Visit[] = [];

  private constructor(
    private readonly kind: Kind,
    private readonly folder: string,
    private server: Server,
  ) {}

  static async open(kind: Kind): Promise<Club> {
    const folder = mkdtempSync(join(tmpdir(), "gradeworthy-journey-"));
    if (kind === "sample") copySample(folder);
    try {
      return new Club(kind, folder, await serve(Club.args(kind, folder)));
    } catch (error) {
      rmSync(folder, { recursive: true, force: true });
      throw error;
    }
  }

  private static args(kind: Kind, folder: string): string[] {
    return kind === "sample" ? ["--sample", "--sample-folder", folder] : ["--folder", folder];
  }

  get base(): string {
    return this.server.base;
  }

  /** The path of the address by which the first member of an empty club becomes its lead. */
  get setUpPath(): string {
    const path = /(\/set-up\/\S+)/.exec(this.server.greeting)?.[1];
    assert.ok(path !== undefined, `no set-up address in:\n${this.server.greeting}`);
    return path;
  }

  /** The password of every member of the sample club, as the program says it. */
  get samplePassword(): string {
    const password = /with the password '([^']+)'/.exec(this.server.greeting)?.[1];
    assert.ok(password !== undefined, `no password in:\n${this.server.greeting}`);
    return password;
  }

  /** Somebody opens a browser of his own: cookies are not shared with other visits. */
  async visit(look: Look): Promise<Visit> {
    const visit = await Visit.begin(await theBrowser(), this.base, look);
    this.visits.push(visit);
    return visit;
  }

  /** The same for a member of the sample club who signs in first. */
  async member(name: string, look: Look): Promise<Visit> {
    const visit = await this.visit(look);
    await visit.signIn(name, this.samplePassword);
    return visit;
  }

  /** Ends the program and starts it again on the same record and port. */
  async restart(): Promise<void> {
    const port = Number(new URL(this.base).port);
    await this.server.stop();
    this.server = await serve(Club.args(this.kind, this.folder), port);
  }

  /** Ends the program while visits go on; `restart` brings it back. */
  async stop(): Promise<void> {
    await this.server.stop();
  }

  assertNoTrouble(): void {
    for (const visit of this.visits) visit.assertNoTrouble();
  }

  async close(): Promise<void> {
    for (const visit of this.visits) await visit.context.close();
    await this.server.stop();
    rmSync(this.folder, { recursive: true, force: true });
  }
}

/** Declares a journey through a club of its own. */
export function journey(name: string, kind: Kind, run: (club: Club) => Promise<void>): void {
  test(name, { timeout: JOURNEY_MS }, async () => {
    const club = await Club.open(kind);
    try {
      await run(club);
      club.assertNoTrouble();
    } finally {
      await club.close();
    }
  });
}
