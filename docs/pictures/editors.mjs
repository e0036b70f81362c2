// A formula with findings as two editors show it. `editors.sh` says more.
import { cpSync, mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { Neovim } from "../../tests/robot/desks/neovim.mjs";
import { VSCode } from "../../tests/robot/desks/vscode.mjs";
import { pause, until } from "../../tests/robot/time.mjs";

const EXAMPLE = "examples/instructive/vitamin-serum-seven-faults.formula";
const WAIT_MS = 30000;

const root = path.resolve(import.meta.dirname, "../..");
const program = process.env.PHASEWRIGHT ?? path.join(root, "target/debug/phasewright");
const folder = mkdtempSync(path.join(os.tmpdir(), "pictures-"));
const file = path.join(folder, "serum.formula");
cpSync(path.join(root, EXAMPLE), file);
const options = { root, program, folder, asTyped: false };

async function neovim() {
  const desk = await new Neovim(options).desk();
  await desk.open(file, { columns: 100, rows: 46 });
  await desk.press("<Esc>");
  await until(WAIT_MS, () => desk.lua("return #vim.diagnostic.get(0) > 5"));
  await desk.lua(`
    vim.lsp.inlay_hint.enable(true)
    vim.diagnostic.config({ severity_sort = true, virtual_lines = { format = function(d) return d.message end } })
    vim.cmd('normal! gg')`);
  await pause(1500);
  await desk.picture(path.join(import.meta.dirname, "editor-neovim.png"));
  await desk.close();
}

async function vscode() {
  const editor = new VSCode(options);
  await editor.start();
  const desk = await editor.desk();
  const { page } = desk;
  await page.setViewportSize({ width: 1280, height: 1240 });
  await desk.open(file);
  await page.locator(".squiggly-error").first().waitFor();
  await page.keyboard.press("Control+b");
  await page.keyboard.press("Control+Shift+m");
  await page.locator(".markers-panel-container .monaco-list-row").nth(5).waitFor();
  // The panel as high as all of its messages.
  const { x, y } = await page.locator(".part.panel").boundingBox();
  await page.mouse.move(x + 300, y);
  await page.mouse.down();
  await page.mouse.move(x + 300, 530, { steps: 5 });
  await page.mouse.up();
  await page.waitForTimeout(1500);
  await desk.picture(path.join(import.meta.dirname, "editor-vscode.png"));
  await editor.stop();
}

await neovim();
await vscode();
rmSync(folder, { recursive: true, force: true });
