// Bundles the extension into dist/extension.js, with the licence of the project beside its package.json.
import { build } from "esbuild";
import { copyFileSync } from "node:fs";
import path from "node:path";

const here = import.meta.dirname;
copyFileSync(path.join(here, "../../LICENSE"), path.join(here, "LICENSE"));
await build({
  absWorkingDir: here,
  entryPoints: ["src/extension.ts"],
  outfile: "dist/extension.js",
  bundle: true,
  platform: "node",
  format: "cjs",
  target: "node18",
  external: ["vscode"],
  minify: true,
});
