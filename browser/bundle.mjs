/** Bundles every journey, and what makes the sample club ready, for Node. */
import { readdirSync, rmSync } from "node:fs";
import { build } from "esbuild";

const journeys = readdirSync("journeys").filter((file) => file.endsWith(".test.ts"));
// What an earlier run left is taken away, so that a journey that is gone is not run again; the sample
// club stays, because it takes long to make.
for (const file of readdirSync(".").includes("built") ? readdirSync("built") : []) {
  if (file.endsWith(".js")) rmSync(`built/${file}`);
}
await build({
  entryPoints: ["harness/prepare.ts", ...journeys.map((file) => `journeys/${file}`)],
  outdir: "built",
  entryNames: "[name]",
  bundle: true,
  platform: "node",
  packages: "external",
  format: "esm",
  target: "node20",
  sourcemap: "inline",
  logLevel: "warning",
});
