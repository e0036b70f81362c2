// The built page in a real Chromium, from a plain file server under some path, and from `phasewright open`.
import { spawn } from "node:child_process";
import { existsSync, mkdtempSync } from "node:fs";
import { readFile } from "node:fs/promises";
import http from "node:http";
import { tmpdir } from "node:os";
import path from "node:path";
import { gzipSync } from "node:zlib";
import { chromium } from "playwright-core";

const here = import.meta.dirname;
export const dist = path.join(here, "../dist");
const KINDS = { html: "text/html", js: "text/javascript", css: "text/css", xz: "application/x-xz", svg: "image/svg+xml", webmanifest: "application/manifest+json" };
const AT = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];
const executablePath = process.env.PHASEWRIGHT_CHROMIUM ?? AT.find(existsSync);
if (!executablePath) throw new Error("there is no Chromium; install it with: apt-get install chromium");

/** A plain file server: the page lies under a path of its own. Gives its address, and what was sent, in bytes. */
export async function fileServer(under = "/some/where/") {
  const sent = { bytes: 0 };
  const packed = new Map();
  const server = http.createServer(async (request, answer) => {
    const asked = new URL(request.url, "http://x").pathname;
    const name = asked.startsWith(under) ? asked.slice(under.length) || "index.html" : "";
    const file = path.join(dist, name);
    if (name === "" || name.includes("..") || !existsSync(file)) return answer.writeHead(404).end();
    if (!packed.has(file)) packed.set(file, gzipSync(await readFile(file)));
    const body = packed.get(file);
    sent.bytes += body.length;
    answer.writeHead(200, { "content-type": KINDS[name.split(".").pop()] ?? "text/plain", "content-encoding": "gzip", "cache-control": "max-age=600" });
    answer.end(body);
  });
  await new Promise((ready) => server.listen(0, "127.0.0.1", ready));
  return { address: `http://127.0.0.1:${server.address().port}${under}`, sent, close: () => (server.closeAllConnections(), server.close()) };
}

/** A browser with a profile of its own, so that what it keeps can be met again by the next one. */
export async function browser(options = {}) {
  const profile = options.profile ?? mkdtempSync(path.join(tmpdir(), "phasewright-page-"));
  const context = await chromium.launchPersistentContext(profile, {
    executablePath,
    args: ["--no-sandbox", "--disable-gpu"],
    viewport: { width: 1280, height: 800 },
    ...options,
  });
  context.setDefaultTimeout(Number(process.env.PHASEWRIGHT_PATIENCE ?? 30_000));
  return { context, profile };
}

/** The page, ready, with all that went wrong in it. */
export async function open(context, address) {
  const page = await context.newPage();
  page.wrong = [];
  page.asked = [];
  page.on("pageerror", (error) => page.wrong.push(error.message));
  page.on("console", (said) => said.type() === "error" && page.wrong.push(said.text()));
  page.on("request", (request) => page.asked.push(request.url()));
  await page.goto(address);
  await page.waitForSelector("body[data-ready]", { timeout: 60_000 });
  return page;
}

export const text = (page) => page.evaluate(() => window.phasewright.view.state.doc.toString());

/** What the file of the open text holds, in the browser's own storage. */
export const inBrowser = (page, name) =>
  page.evaluate(async (name) => {
    const root = await (await navigator.storage.getDirectory()).getDirectoryHandle("phasewright");
    try {
      return await (await (await root.getFileHandle(name)).getFile()).text();
    } catch {
      return null;
    }
  }, name);

export async function typeAtEnd(page, words) {
  await page.evaluate(() => {
    const { view } = window.phasewright;
    view.dispatch({ selection: { anchor: view.state.doc.length } });
    view.focus();
  });
  await page.keyboard.insertText(words);
}

export const findings = (page) => page.locator(".finding .what").allTextContents();

/** `phasewright open` on a folder. */
export async function served(folder, program) {
  const process = spawn(program, ["open", folder, "--no-browser", "--page", dist], { stdio: ["ignore", "pipe", "inherit"] });
  const address = await new Promise((resolve, reject) => {
    let said = "";
    process.stdout.on("data", (data) => {
      said += data;
      const found = /http:\S+/.exec(said);
      if (found) resolve(found[0]);
    });
    process.on("exit", () => reject(new Error(said)));
  });
  return { address, close: () => process.kill() };
}
