/** What a person at the bench does, in words, counted: taps, and fields typed with their Enter. */
import assert from "node:assert/strict";
import type { Locator } from "playwright-core";

import type { Visit } from "./visit.ts";

export interface CarFound {
  readonly car: number;
  readonly mark: string;
  readonly state: string;
}

export class Hands {
  taps = 0;
  fields = 0;

  constructor(readonly visit: Visit) {}

  private get page() {
    return this.visit.page;
  }

  async tap(what: Locator): Promise<void> {
    this.taps += 1;
    await what.click();
  }

  async type(label: string | RegExp, text: string): Promise<void> {
    this.fields += 1;
    await this.page.getByLabel(label, { exact: typeof label === "string" }).first().fill(text);
  }

  /** The identity of a car, by its marks. */
  async car(mark: string): Promise<CarFound> {
    const answer = await this.page.request.get(`/api/fleet?q=${encodeURIComponent(mark)}`);
    const { cars } = (await answer.json()) as { cars: CarFound[] };
    const found = cars.find((own) => own.mark === mark);
    assert.ok(found !== undefined, `no car ${mark}`);
    return found;
  }

  async open(car: number, check: string): Promise<void> {
    await this.page.goto(`/bench/${car}?check=${encodeURIComponent(check)}`);
  }

  /** Opens a check with the cursor in its first field. */
  async read(car: number, check: string): Promise<void> {
    await this.open(car, check);
    await this.page.locator(".reading input[type=text]").first().focus();
  }

  /** Types where the cursor is, as a caliper does: digits and Enter, without looking. */
  async caliper(...texts: string[]): Promise<void> {
    for (const text of texts) {
      this.fields += 1;
      await this.page.keyboard.type(text);
      await this.page.keyboard.press("Enter");
    }
  }

  /** Waits until everything that was typed has been entered. */
  async entered(): Promise<void> {
    await this.page.waitForFunction(() => {
      const fields = [...document.querySelectorAll<HTMLInputElement>(".reading input[type=text]")];
      const waiting = document.querySelector(".reading.waiting");
      return waiting === null && fields.every((own) => own.value === "");
    });
  }

  /** What the record says happened to a car, oldest first; what was struck is left out. */
  async story(car: number): Promise<string[]> {
    const answer = await this.page.request.get(`/api/cars/${car}`);
    const { events } = (await answer.json()) as { events: { what: string; struck: boolean }[] };
    return events.filter((own) => !own.struck).map((own) => own.what);
  }

  async standing(mark: string): Promise<string> {
    return (await this.car(mark)).state;
  }
}
