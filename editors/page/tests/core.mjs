// The core for Node: the same system that the page's worker runs on.
import { build } from "esbuild";
import { readFile } from "node:fs/promises";
import path from "node:path";

const here = import.meta.dirname;

export const project = path.join(here, "../../..");

export async function load() {
  const made = await build({ entryPoints: [path.join(here, "../src/core/system.ts")], bundle: true, format: "esm", write: false, platform: "neutral", mainFields: ["module", "main"] });
  const address = `data:text/javascript;base64,${Buffer.from(made.outputFiles[0].contents).toString("base64")}`;
  const { System } = await import(address);
  const module = await WebAssembly.compile(await readFile(path.join(project, "target/page-core/core.wasm")));
  return { System, module };
}

/** The local clock as if it were universal time: the day of the core is then the day of the program. */
export const now = () => Date.now() - new Date().getTimezoneOffset() * 60_000;
