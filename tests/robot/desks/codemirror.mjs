// A page with CodeMirror and its language server client; the bridge to the server runs here.
import { build } from "esbuild";
import { spawn } from "node:child_process";
import { readFile } from "node:fs/promises";
import http from "node:http";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { WebSocketServer } from "ws";
import { browser, press } from "./chromium.mjs";

export class CodeMirror {
  constructor({ program }) {
    this.program = program;
    this.name = "CodeMirror";
    this.formats = false;
    this.acceptKey = "Tab";
    this.closeKey = "Escape";
  }

  async start() {
    const folder = path.join(import.meta.dirname, "../page");
    const bundled = await build({ entryPoints: [path.join(folder, "page.js")], bundle: true, format: "esm", write: false });
    const script = bundled.outputFiles[0].contents;
    const html = await readFile(path.join(folder, "index.html"));
    this.server = http.createServer((request, answer) => {
      const isScript = request.url === "/page.js";
      answer.setHeader("content-type", isScript ? "text/javascript" : "text/html");
      answer.end(isScript ? script : html);
    });
    new WebSocketServer({ server: this.server }).on("connection", (socket) => bridge(socket, this.program));
    await new Promise((ready) => this.server.listen(0, "127.0.0.1", ready));
    this.address = `http://127.0.0.1:${this.server.address().port}/`;
    this.browser = await browser();
  }

  async desk() {
    return new Desk(await this.browser.newPage({ viewport: { width: 1280, height: 800 } }), this.address);
  }

  async stop() {
    await this.browser.close();
    this.server.closeAllConnections();
    this.server.close();
  }
}

/** One server for each socket: a message of the socket is a message with its length over the pipe. */
function bridge(socket, program) {
  const server = spawn(program, ["serve"], { stdio: ["pipe", "pipe", "inherit"] });
  let read = Buffer.alloc(0);
  socket.on("message", (data) => {
    const message = Buffer.from(data);
    server.stdin.write(`Content-Length: ${message.length}\r\n\r\n`);
    server.stdin.write(message);
  });
  server.stdout.on("data", (data) => {
    read = Buffer.concat([read, data]);
    for (;;) {
      const head = read.indexOf("\r\n\r\n");
      if (head < 0) return;
      const end = head + 4 + Number(/Content-Length: *(\d+)/i.exec(read.subarray(0, head).toString())[1]);
      if (read.length < end) return;
      socket.send(read.subarray(head + 4, end).toString());
      read = read.subarray(end);
    }
  });
  socket.on("close", () => server.stdin.end());
  server.on("exit", () => socket.close());
}

class Desk {
  constructor(page, address) {
    this.page = page;
    this.address = address;
    page.on("pageerror", (error) => console.error(`the page: ${error.message}`));
  }

  async open(file) {
    const what = new URLSearchParams({ uri: pathToFileURL(file).href, text: await readFile(file, "utf8") });
    await this.page.goto(`${this.address}?${what}`);
    await this.page.waitForFunction("window.ready");
    await this.page.locator(".cm-content").click();
  }

  press(key) {
    return press(this.page, key);
  }

  look() {
    return this.page.evaluate(() => {
      const { doc, selection } = window.view.state;
      const line = doc.lineAt(selection.main.head);
      return { line: line.number - 1, from: selection.main.from - line.from, to: selection.main.to - line.from, text: line.text };
    });
  }

  list() {
    return this.page.evaluate(() => {
      const items = [...document.querySelectorAll(".cm-tooltip-autocomplete li[role=option]")];
      if (items.length === 0) return null;
      return {
        labels: items.map((item) => item.querySelector(".cm-completionLabel").textContent),
        selected: items.findIndex((item) => item.hasAttribute("aria-selected")),
      };
    });
  }

  async save() {}

  text() {
    return this.page.evaluate(() => window.view.state.doc.toString());
  }

  async picture(file) {
    await this.page.screenshot({ path: file });
  }

  async close() {
    await this.page.close();
  }
}
