// The typing robot. `run --help` says what it takes.
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { parseArgs } from "node:util";
import { compare } from "./compare.mjs";
import { EDITORS, editor } from "./editors.mjs";
import { report } from "./report.mjs";
import { type } from "./typist.mjs";

const HELP = `bash tests/robot/run [--all | --spread | --short] [options]
  --short          two formulas at 60 ms a key, in three editors (what the test command runs)
  --all            every formula at every speed with every habit, in every editor (the default): hours
  --spread         every formula at every speed, the habits taking turns: a third of that
  --editors LIST   of nvim, nvim-typed, vscode, codemirror
  --speeds LIST    milliseconds for a key; default 20,60,150
  --habits LIST    of enter, tab, arrows
  --formulas WORDS only those whose name this pattern fits
  --program FILE   the server; default target/debug/phasewright
  --out FILE       where the report goes; default target/robot/report.md
Exit status 1 where a line is spoiled.`;

const SPEEDS = [20, 60, 150];
const HABITS = ["enter", "tab", "arrows"];
const SHORT = {
  editors: ["nvim-typed", "codemirror", "vscode"],
  ms: 60,
  formulas: { "everyday-face-cream": HABITS, "names-without-amounts": ["enter"] },
};

const root = path.resolve(import.meta.dirname, "../..");
const { values: args } = parseArgs({
  options: {
    all: { type: "boolean" }, spread: { type: "boolean" }, short: { type: "boolean" }, help: { type: "boolean" },
    editors: { type: "string" }, speeds: { type: "string" }, habits: { type: "string" },
    formulas: { type: "string", default: "" }, out: { type: "string", default: path.join(root, "target/robot/report.md") },
    program: { type: "string", default: path.join(root, "target/debug/phasewright") },
  },
});

function formulas() {
  return ["examples", "examples/instructive", "tests/robot/formulas"]
    .flatMap((folder) => readdirSync(path.join(root, folder)).sort().map((name) => path.join(root, folder, name)))
    .filter((file) => file.endsWith(".formula"))
    .map((file) => ({ name: path.basename(file, ".formula"), lines: readFileSync(file, "utf8").trimEnd().split("\n") }));
}

/** One task is one formula, typed once. */
function tasks() {
  const wanted = (name) => (args.short ? name in SHORT.formulas : new RegExp(args.formulas).test(name));
  const all = formulas().filter(({ name }) => wanted(name));
  const habits = args.habits?.split(",") ?? HABITS;
  const editors = args.editors?.split(",") ?? (args.short ? SHORT.editors : EDITORS);
  const speeds = args.speeds?.split(",").map(Number) ?? (args.short ? [SHORT.ms] : SPEEDS);
  const found = [];
  for (const editor of editors) {
    speeds.forEach((ms, s) => {
      all.forEach((formula, f) => {
        const mine = args.short ? SHORT.formulas[formula.name] : habits;
        const taken = args.spread ? [habits[(f + s) % habits.length]] : mine;
        for (const habit of taken) found.push({ editor, ms, habit, formula });
      });
    });
  }
  return found;
}

/** How many are typed in side by side; a slow typist leaves the machine idle. */
function atOnce(name, ms) {
  const most = { nvim: 9, "nvim-typed": 9, codemirror: 5, vscode: 4 }[name];
  return Math.max(1, Math.min(most, Math.round((most * ms) / 150)));
}

async function one(desk, program, { ms, habit, formula }, folder) {
  const file = path.join(mkdtempSync(path.join(folder, "draft-")), `${formula.name}.formula`);
  writeFileSync(file, "");
  await desk.open(file);
  const began = Date.now();
  const { accepted, surprises } = await type(desk, formula.lines, { ms, habit, acceptKey: program.acceptKey, closeKey: program.closeKey });
  const seconds = (Date.now() - began) / 1000;
  await desk.save();
  const got = (await desk.text()).split("\n");
  const { spoiled, count } = compare(formula.lines, got, { loose: (line) => program.formats || accepted.has(line) });
  return { name: formula.name, lines: formula.lines.length, keys: formula.lines.join("\n").length, seconds, accepted: accepted.size, surprises, spoiled, count };
}

async function typeAll(name, todo, folder, tell) {
  const program = editor(name, { root, program: args.program, folder });
  const results = [];
  await program.start();
  try {
    for (const ms of [...new Set(todo.map((task) => task.ms))]) {
      const queue = todo.filter((task) => task.ms === ms);
      const worker = async () => {
        let desk;
        for (let task = queue.shift(); task; task = queue.shift()) {
          const cell = { editor: program.name, ms, habit: task.habit };
          try {
            desk ??= await program.desk();
            results.push({ ...cell, ...(await one(desk, program, task, folder)) });
            if (!(desk.keeps ?? false)) {
              await desk.close();
              desk = undefined;
            }
          } catch (error) {
            results.push({ ...cell, name: task.formula.name, lines: task.formula.lines.length, failed: String(error.message ?? error) });
            await desk?.picture(path.join(root, `target/robot/failed-${name}-${task.formula.name}.png`)).catch(() => {});
            await desk?.close().catch(() => {});
            desk = undefined;
          }
          tell(results.at(-1));
        }
        await desk?.close();
      };
      await Promise.all(Array.from({ length: Math.min(atOnce(name, ms), queue.length) }, worker));
    }
  } finally {
    await program.stop();
  }
  return results;
}

if (args.help) {
  console.log(HELP);
  process.exit(0);
}
const todo = tasks();
mkdirSync(path.dirname(args.out), { recursive: true });
const folder = mkdtempSync(path.join(os.tmpdir(), "typing-robot-"));
const results = [];
const began = Date.now();
const write = () => writeFileSync(args.out, report(results, { seconds: (Date.now() - began) / 1000, left: todo.length - results.length }));
const tell = (result) => {
  results.push(result);
  const said = result.failed ? `did not work: ${result.failed}` : result.count ? `${result.count} lines spoiled` : "as meant";
  console.log(`${result.editor}, ${result.ms} ms, ${result.habit}: ${result.name}: ${said}`);
  write();
};
await Promise.all(
  EDITORS.map((name) => {
    const mine = todo.filter((task) => task.editor === name);
    return mine.length > 0 && typeAll(name, mine, folder, tell);
  }),
);
write();
rmSync(folder, { recursive: true, force: true });
console.log(readFileSync(args.out, "utf8"));
process.exit(results.some((result) => result.failed || result.count > 0) ? 1 : 0);
