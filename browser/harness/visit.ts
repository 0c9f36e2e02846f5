/** One person's browser window: its size and colours, what went wrong in it, and how it looks. */
import assert from "node:assert/strict";
import { mkdirSync } from "node:fs";
import { resolve } from "node:path";
import type { Browser, BrowserContext, Page } from "playwright-core";

import { audit } from "./audit.ts";

export const SIZES = {
  desktop: { width: 1280, height: 900 },
  tablet: { width: 820, height: 1180 },
  phone: { width: 390, height: 844 },
} as const;
export type Size = keyof typeof SIZES;
export type Scheme = "light" | "dark";

export interface Look {
  readonly size: Size;
  readonly scheme: Scheme;
}

/** Every size in both colour schemes. */
export const LOOKS: readonly Look[] = (Object.keys(SIZES) as Size[]).flatMap((size) => [
  { size, scheme: "light" as const },
  { size, scheme: "dark" as const },
]);

/** A look in words: `phone-dark`. */
export function named(look: Look): string {
  return `${look.size}-${look.scheme}`;
}

/** Where pictures go: `PICTURES=docs` saves those of the documentation, `PICTURES=all` saves every
    one under `built/pictures`, for eyes. */
const PICTURES = process.env["PICTURES"];
const PATIENCE_MS = 15_000;

export class Visit {
  private readonly trouble: string[] = [];
  private readonly expected: RegExp[] = [];

  private constructor(
    readonly look: Look,
    readonly context: BrowserContext,
    readonly page: Page,
  ) {}

  static async begin(browser: Browser, base: string, look: Look): Promise<Visit> {
    const context = await browser.newContext({
      baseURL: base,
      viewport: SIZES[look.size],
      colorScheme: look.scheme,
      hasTouch: look.size !== "desktop",
      reducedMotion: "reduce",
      locale: "en-GB",
      timezoneId: "UTC",
    });
    context.setDefaultTimeout(PATIENCE_MS);
    const page = await context.newPage();
    const visit = new Visit(look, context, page);
    visit.watch(page);
    return visit;
  }

  private watch(page: Page): void {
    page.on("console", (message) => {
      if (["error", "warning"].includes(message.type())) {
        this.complain(`console: ${message.text()} (${message.location().url})`);
      }
    });
    page.on("pageerror", (error) => this.complain(`script: ${error.stack ?? error.message}`));
    page.on("requestfailed", (request) => {
      const why = request.failure()?.errorText ?? "";
      // A page that is left drops what it was still asking for; that is no failure.
      if (why !== "net::ERR_ABORTED") this.complain(`request: ${why} ${request.url()}`);
    });
    page.on("response", (response) => {
      if (response.status() >= 400) this.complain(`answer ${response.status()}: ${response.url()}`);
    });
  }

  private complain(what: string): void {
    if (!this.expected.some((pattern) => pattern.test(what))) this.trouble.push(what);
  }

  /** Complaints like this one are part of the journey from here on. */
  expectTrouble(pattern: RegExp): void {
    this.expected.push(pattern);
  }

  assertNoTrouble(): void {
    assert.deepEqual(this.trouble, [], `what went wrong at ${named(this.look)}`);
  }

  async signIn(name: string, password: string): Promise<void> {
    await this.page.goto("/sign-in");
    await this.page.getByLabel("Name").fill(name);
    await this.page.getByLabel("Password").fill(password);
    await this.page.getByRole("button", { name: "Sign in" }).click();
    await this.page.waitForURL((url) => url.pathname !== "/sign-in");
  }

  /** Goes to a page, audits it and takes its picture. */
  async lookAt(path: string, name: string): Promise<void> {
    await this.page.goto(path);
    await this.audit(name);
  }

  /** Serious accessibility findings, small text, small targets and sideways scrolling are trouble; they
      fail the journey at its end, so that one run names them all. */
  async audit(name: string): Promise<void> {
    await this.picture(name);
    for (const finding of await audit(this.page)) this.trouble.push(`${name}: ${finding}`);
  }

  /** A picture for eyes, where `PICTURES=all` asks for it. */
  async picture(name: string): Promise<void> {
    if (PICTURES !== "all") return;
    const folder = resolve("built/pictures");
    mkdirSync(folder, { recursive: true });
    const path = `${folder}/${name}-${named(this.look)}.png`;
    await this.page.screenshot({ path, fullPage: true });
  }

  /** A picture for the documentation, where `PICTURES=docs` asks for it. */
  async documentPicture(name: string): Promise<void> {
    if (PICTURES !== "docs") return;
    const folder = resolve("../docs/pictures");
    mkdirSync(folder, { recursive: true });
    await this.page.screenshot({ path: `${folder}/${name}.png` });
  }
}
