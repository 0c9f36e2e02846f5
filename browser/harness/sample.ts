/** The invented sample club: made once for a built program, copied for every journey. */
import { cpSync, existsSync, rmSync, statSync } from "node:fs";
import { resolve } from "node:path";

import { PROGRAM, serve } from "./server.ts";

const KEPT = resolve("built/sample");

/** Makes it, unless there is one that this very program made. */
export async function makeSample(): Promise<void> {
  const file = `${KEPT}/sample.sqlite`;
  if (existsSync(file) && statSync(file).mtimeMs > statSync(PROGRAM).mtimeMs) return;
  rmSync(KEPT, { recursive: true, force: true });
  const server = await serve(["--sample", "--sample-folder", KEPT]);
  await server.stop();
}

/** Puts a copy of it into `folder`. */
export function copySample(folder: string): void {
  if (!existsSync(KEPT)) throw new Error(`no sample club in ${KEPT}: run \`npm test\``);
  cpSync(KEPT, folder, { recursive: true });
}
