// The packaged extension in VS Code in Chromium, used as a maker uses it. Needs what `bash tests/robot/install` installs.
import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { VSCode } from "../robot/desks/vscode.mjs";
import { until } from "../robot/time.mjs";

const WAIT_MS = 30000;
const root = path.resolve(import.meta.dirname, "../..");
const folder = mkdtempSync(path.join(os.tmpdir(), "vscode-"));
const example = readFileSync(path.join(root, "examples/gardeners-hand-cream.formula"), "utf8");
const file = path.join(folder, "hand-cream.formula");
// An é and an emoji to the left of what is wrong.
writeFileSync(file, example.replace('"cool-down"', '"crème 🧴"').replace("dehydroacetic acid  0.9 %", "dehydroacetic acid  1.9 %"));

// What a jar costs is known from the shelf alone.
copyFileSync(path.join(root, "examples/shelf.stock"), path.join(folder, "shelf.stock"));

let failed = 0;
const editor = new VSCode({ root, program: path.join(root, "target/debug/phasewright"), folder });
const step = async (name, ask) => {
  const ok = await until(WAIT_MS, ask).catch(() => false);
  if (!ok) failed++;
  console.log(`${ok ? "ok  " : "FAIL"} ${name}`);
};
const shows = (page, selector, text) => async () => (await page.locator(selector, { hasText: text }).count()) > 0;

try {
  await editor.start();
  const desk = await editor.desk();
  const { page } = desk;
  const command = async (title) => {
    await page.locator(".monaco-editor .view-lines").first().click();
    await page.keyboard.press("F1");
    await page.keyboard.insertText(title);
    await page.locator(".quick-input-list .monaco-list-row", { hasText: title }).first().waitFor();
    await page.keyboard.press("Enter");
  };
  await desk.open(file);
  await step("the language is known", shows(page, "#status\\.editor\\.mode", "Formula"));
  await step("an ingredient has the colour of its meaning", shows(page, ".view-line span[class*=mtk]", /^xanthan\sgum$/));
  await step("the weights stand beside the rows", shows(page, ".view-line", "12.5"));
  await step("what is wrong is underlined", shows(page, ".squiggly-error", ""));
  await command("Problems: Focus on Problems View");
  await step("and is in the list of problems", shows(page, ".markers-panel-container .monaco-list-row", "above-legal-limit"));

  await step("the status bar counts it and knows the sum", async () =>
    /100 %[\s\S]*1/.test((await page.locator(".statusbar-item[id*='phasewright']").innerText()).replaceAll("\u00a0", " ")));

  const row = (await desk.text()).split("\n").findIndex((line) => line.includes("1.9 %"));
  await page.locator(".monaco-editor .view-lines").first().click();
  await page.keyboard.press("Control+g");
  await page.keyboard.insertText(`${row + 1}:45`);
  await page.keyboard.press("Enter");
  await page.keyboard.press("Control+.");
  await page.locator(".action-widget .monaco-list-row").first().waitFor();
  await page.keyboard.press("Enter");
  await step("its fix mends it, behind é and 🧴", async () => !(await desk.text()).includes("1.9 %"));

  const paper = page.frameLocator("iframe.webview").frameLocator("iframe");
  await command("Phasewright: Weigh sheet");
  await step("the weigh sheet opens beside the text", async () => (await paper.locator("h1").innerText()).includes("Gardener"));

  await command("Phasewright: Cost");
  await step("a paper of the program opens too", async () => (await page.locator(".tab", { hasText: "Cost" }).count()) > 0);
  await page.locator(".tab", { hasText: "hand-cream.formula" }).first().click();

  await command("Format Document");
  await step("what is well laid out stays", async () => (await desk.text()).includes("\n  water                                    q.s.\n"));
} catch (error) {
  failed++;
  console.log(`FAIL ${error.message}`);
} finally {
  await editor.stop();
  rmSync(folder, { recursive: true, force: true });
}
console.log(failed === 0 ? "all well" : `${failed} failed`);
process.exit(failed === 0 ? 0 : 1);
