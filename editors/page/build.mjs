// Bundles the page into dist/: scripts, styles, the core, and the list that the service worker keeps. It works under any path.
import { build } from "esbuild";
import { createHash } from "node:crypto";
import { copyFile, mkdir, readFile, readdir, rm, writeFile } from "node:fs/promises";
import path from "node:path";
import { gzipSync } from "node:zlib";

const here = import.meta.dirname;
const dist = path.join(here, "dist");
const core = process.argv[2] ?? path.join(here, "../../target/page-core/core.wasm.xz");

await rm(dist, { recursive: true, force: true });
await mkdir(dist, { recursive: true });
const common = { absWorkingDir: here, bundle: true, format: "esm", target: "es2022", minify: true, outdir: dist, loader: { ".formula": "text" }, legalComments: "none" };
await build({ ...common, entryPoints: { page: "src/main.ts", worker: "src/core/worker.ts" } });
for (const file of ["index.html", "page.css", "icon.svg", "phasewright.webmanifest"]) await copyFile(path.join(here, "src", file), path.join(dist, file));
await copyFile(core, path.join(dist, "core.wasm.xz"));

const files = (await readdir(dist)).sort();
const hash = createHash("sha256");
let packed = 0;
for (const file of files) {
  const bytes = await readFile(path.join(dist, file));
  hash.update(file).update(bytes);
  packed += gzipSync(bytes).length;
}
await build({
  ...common,
  entryPoints: { offline: "src/offline.ts" },
  format: "iife",
  define: { FILES: JSON.stringify(["./", ...files]), VERSION: JSON.stringify(hash.digest("hex").slice(0, 16)) },
});
await writeFile(path.join(dist, "size.txt"), `${packed}\n`);
console.log(`editors/page/dist: ${(packed / 1e6).toFixed(2)} MB gzipped`);
