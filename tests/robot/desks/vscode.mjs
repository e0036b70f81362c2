// VS Code in Chromium (code-server) with the packaged extension of this project, its settings as they come.
import { execFileSync, spawn } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import path from "node:path";
import { until } from "../time.mjs";
import { browser, press } from "./chromium.mjs";

// About the window around the editor alone, except for the way to the program.
const settings = (program) => ({
  "phasewright.server.path": program,
  "workbench.startupEditor": "none",
  "workbench.secondarySideBar.defaultVisibility": "hidden",
  "security.workspace.trust.enabled": false,
  "telemetry.telemetryLevel": "off",
  "extensions.autoCheckUpdates": false,
  "chat.disableAIFeatures": true,
});

export class VSCode {
  /** @param {{ root: string, program: string, folder: string }} options */
  constructor({ root, program, folder }) {
    this.root = root;
    this.program = program;
    this.folder = path.join(folder, "vscode");
    this.name = "VS Code";
    // The extension switches on formatting of the line that Enter leaves.
    this.formats = true;
    this.acceptKey = "Tab";
    this.closeKey = "Escape";
    this.desks = 0;
  }

  async start() {
    rmSync(this.folder, { recursive: true, force: true });
    mkdirSync(path.join(this.folder, "data/User"), { recursive: true });
    writeFileSync(path.join(this.folder, "data/User/settings.json"), JSON.stringify(settings(this.program)));
    const entry = path.join(this.root, "target/editors/code-server/node_modules/code-server/out/node/entry.js");
    if (!existsSync(entry)) throw new Error("there is no VS Code; run tests/editors/code-server.sh");
    const where = ["--user-data-dir", path.join(this.folder, "data"), "--extensions-dir", path.join(this.folder, "extensions")];
    for (const extension of ["editors/vscode/dist/phasewright.vsix", "target/robot/eyes.vsix"]) {
      execFileSync(process.execPath, [entry, ...where, "--install-extension", path.join(this.root, extension)], { stdio: "pipe" });
    }
    const log = path.join(this.folder, "server.log");
    this.server = spawn(process.execPath, [entry, ...where, "--bind-addr", "127.0.0.1:0", "--auth", "none", "--disable-telemetry",
      "--disable-update-check", "--disable-workspace-trust", "--disable-getting-started-override"], { stdio: ["ignore", "pipe", "pipe"] });
    let said = "";
    for (const pipe of [this.server.stdout, this.server.stderr]) {
      pipe.on("data", (data) => {
        said += data;
        writeFileSync(log, said);
      });
    }
    const found = await until(60000, () => /listening on (http:\/\/127\.0\.0\.1:\d+)/.exec(said));
    if (!found) throw new Error(`VS Code did not start; see ${log}`);
    this.address = found[1];
    this.browser = await browser();
  }

  async desk() {
    const folder = path.join(this.folder, `desk-${++this.desks}`);
    mkdirSync(folder);
    const page = await this.browser.newPage({ viewport: { width: 1280, height: 800 } });
    page.setDefaultTimeout(60000);
    await page.goto(`${this.address}/?folder=${encodeURIComponent(folder)}`);
    await page.waitForSelector(".monaco-workbench");
    const port = await until(60000, () => existsSync(`${folder}.port`) && readFileSync(`${folder}.port`, "utf8"));
    if (!port) throw new Error("VS Code: the robot's eyes did not open");
    return new Desk(page, `http://127.0.0.1:${port}`);
  }

  async stop() {
    await this.browser?.close();
    if (!this.server) return;
    const gone = new Promise((resolve) => this.server.once("exit", resolve));
    this.server.kill("SIGTERM");
    await gone;
  }
}

class Desk {
  constructor(page, eyes) {
    this.page = page;
    this.eyes = eyes;
    // A window takes seconds to open: the next file goes into the same one.
    this.keeps = true;
  }

  async see(what = "/") {
    return (await fetch(this.eyes + what)).json();
  }

  async open(file) {
    await this.see(`/open?${encodeURIComponent(file)}`);
    const opened = await until(60000, async () => {
      const seen = await this.see();
      return seen?.file === file && seen.ready;
    });
    if (!opened) throw new Error("VS Code: the file did not open");
    await this.page.locator(".monaco-editor .view-lines").first().click();
  }

  press(key) {
    return press(this.page, key);
  }

  async look() {
    return (await this.see()).look;
  }

  list() {
    return this.page.evaluate(() => {
      const list = document.querySelector(".suggest-widget.visible");
      const rows = [...(list?.querySelectorAll(".monaco-list-row") ?? [])];
      if (rows.length === 0) return null;
      rows.sort((a, b) => a.dataset.index - b.dataset.index);
      return {
        labels: rows.map((row) => row.querySelector(".label-name")?.textContent ?? ""),
        selected: rows.findIndex((row) => row.classList.contains("focused")),
      };
    });
  }

  /** Saving takes the blanks from the ends of lines. */
  async save() {
    await this.press("Escape");
    await this.press("Control+s");
    await until(5000, async () => !(await this.see()).dirty);
  }

  async text() {
    return (await this.see()).text;
  }

  async picture(file) {
    await this.page.screenshot({ path: file });
  }

  async close() {
    await this.page.close();
  }
}
