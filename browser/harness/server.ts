/** Starts the built program on a free port, waits for its greeting, and always ends it by its id. */
import { type ChildProcess, spawn } from "node:child_process";
import { existsSync } from "node:fs";
import { resolve } from "node:path";

const GREETING_END = "Stop with Ctrl-C.";
const PATIENCE_MS = 120_000;
const FAREWELL_MS = 5_000;

/** The program under test; `cargo xtask browser` names the one it has just built. */
export const PROGRAM = resolve(process.env["GRADEWORTHY"] ?? "../target/debug/gradeworthy");

export interface Server {
  /** Scheme, host and port, without a slash at the end. */
  readonly base: string;
  /** All that it said before it served. */
  readonly greeting: string;
  stop(): Promise<void>;
}

const running = new Set<ChildProcess>();

// Whatever ends this process, no server stays behind.
process.on("exit", () => {
  for (const child of running) child.kill("SIGKILL");
});
for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const) {
  process.on(signal, () => process.exit(1));
}

/** `gradeworthy serve` with these arguments, on `port` or any that is free. */
export async function serve(args: readonly string[], port = 0): Promise<Server> {
  if (!existsSync(PROGRAM)) {
    throw new Error(`${PROGRAM} is not there: run \`cargo build -p gradeworthy\` first`);
  }
  const child = spawn(PROGRAM, ["serve", "--port", String(port), ...args], {
    stdio: ["ignore", "pipe", "pipe"],
    env: { ...process.env, TZ: "UTC" },
  });
  running.add(child);
  const gone = new Promise<void>((done) => {
    child.once("close", () => {
      running.delete(child);
      done();
    });
  });
  const greeting = await greetingOf(child);
  const base = /Gradeworthy is at (http:\/\/\S+)/.exec(greeting)?.[1];
  if (base === undefined) throw new Error(`no address in the greeting:\n${greeting}`);
  const stop = async (): Promise<void> => {
    child.kill("SIGINT");
    const late = setTimeout(() => child.kill("SIGKILL"), FAREWELL_MS);
    await gone;
    clearTimeout(late);
  };
  return { base, greeting, stop };
}

function greetingOf(child: ChildProcess): Promise<string> {
  let said = "";
  let complaint = "";
  return new Promise((done, fail) => {
    const late = setTimeout(() => {
      child.kill("SIGKILL");
      fail(new Error(`no greeting within ${PATIENCE_MS / 1000} s:\n${said}${complaint}`));
    }, PATIENCE_MS);
    child.stdout?.setEncoding("utf8").on("data", (text: string) => {
      said += text;
      if (said.includes(GREETING_END)) {
        clearTimeout(late);
        done(said);
      }
    });
    child.stderr?.setEncoding("utf8").on("data", (text: string) => {
      complaint += text;
    });
    child.once("error", fail);
    child.once("close", (code) => {
      clearTimeout(late);
      fail(new Error(`the server ended with ${code} before it greeted:\n${said}${complaint}`));
    });
  });
}
