// Pictures of the completion list after the beginnings of everyday names. `look` says more.
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { parseArgs } from "node:util";
import { editor } from "./editors.mjs";
import { pause, until } from "./time.mjs";

const WORDS = ["vit e", "e-wax", "olive", "shea bu", "citric ac", "vit c", "lavender o", "lecithin"];
const BEFORE = ['formula "Face cream"', "  product: face cream, leave-on", "", 'phase A "oil" at 70 °C', "  "];

const root = path.resolve(import.meta.dirname, "../..");
const { values: args } = parseArgs({
  options: {
    editors: { type: "string", default: "nvim-typed,codemirror,vscode" }, words: { type: "string" },
    program: { type: "string", default: path.join(root, "target/debug/phasewright") },
    out: { type: "string", default: path.join(root, "target/robot/look") },
  },
});
const words = args.words?.split(",") ?? WORDS;
mkdirSync(args.out, { recursive: true });
const folder = mkdtempSync(path.join(os.tmpdir(), "typing-robot-"));
const lines = ["# What the lists say", ""];
for (const name of args.editors.split(",")) {
  const program = editor(name, { root, program: args.program, folder });
  await program.start();
  let desk;
  for (const word of words) {
    desk ??= await program.desk();
    const file = path.join(mkdtempSync(path.join(folder, "look-")), "face-cream.formula");
    writeFileSync(file, BEFORE.join("\n"));
    await desk.open(file);
    for (const key of name.startsWith("nvim") ? ["<Esc>", "G", "A"] : ["Control+End"]) await desk.press(key);
    for (const letter of word) {
      await desk.press(letter);
      await pause(150);
    }
    await until(1500, () => desk.list());
    await pause(500);
    const list = await desk.list();
    lines.push(`- ${program.name}, \`${word}\`: ${list ? list.labels.slice(0, 8).join(" | ") : "no list"}`);
    await desk.picture(path.join(args.out, `${name}-${word.replaceAll(" ", "_")}.png`));
    if (!desk.keeps) {
      await desk.close();
      desk = undefined;
    }
  }
  await desk?.close();
  await program.stop();
}
rmSync(folder, { recursive: true, force: true });
writeFileSync(path.join(args.out, "lists.md"), lines.join("\n") + "\n");
console.log(lines.join("\n"));
