// Every example and every case, in the page's core and in the program: the same findings byte for byte, the same papers.
import assert from "node:assert/strict";
import { execFileSync, spawn } from "node:child_process";
import { existsSync, readFileSync, readdirSync } from "node:fs";
import path from "node:path";
import { test } from "node:test";
import { pathToFileURL } from "node:url";
import { load, now, project } from "./core.mjs";

const program = process.env.PHASEWRIGHT ?? path.join(project, "target/debug/phasewright");
assert.ok(existsSync(program), `${program} is missing; build it with: cargo build`);
const { System, module } = await load();

test("the core asks for WASI and nothing else", () => {
  const asked = new Set(WebAssembly.Module.imports(module).map(({ module }) => module));
  assert.deepEqual([...asked], ["wasi_snapshot_preview1"]);
});

function filesUnder(folder) {
  return readdirSync(path.join(project, folder), { withFileTypes: true }).flatMap((entry) => {
    const name = `${folder}/${entry.name}`;
    return entry.isDirectory() ? filesUnder(name) : [name];
  });
}

const isText = (name) => /\.(formula|batch|stock|toml)$/.test(name);
const files = ["examples", "tests/cases"].flatMap(filesUnder).filter(isText);
const read = (name) => readFileSync(path.join(project, name), "utf8");
const judged = files.filter((name) => /\.(formula|batch|stock)$/.test(name));
const formulas = judged.filter((name) => name.endsWith(".formula"));

function withFiles(before = "") {
  const system = new System(module, now);
  for (const name of files) system.write(before + name, read(name));
  return system;
}

/** What the program writes, in pieces of a few hundred arguments. */
function native(args) {
  try {
    return { status: 0, out: execFileSync(program, args, { cwd: project, maxBuffer: 1 << 28, stdio: ["ignore", "pipe", "pipe"] }).toString() };
  } catch (error) {
    return { status: error.status, out: error.stdout.toString() };
  }
}

test("there are examples and cases to compare", () => {
  assert.ok(formulas.length > 150, `${formulas.length}`);
});

test("check says the same, byte for byte", () => {
  const system = withFiles();
  const theirs = native(["check", "--format", "json", ...judged]);
  const ours = system.run(["check", "--format", "json", ...judged]);
  assert.ok(JSON.parse(theirs.out).files.length === judged.length);
  assert.equal(ours.out, theirs.out);
  assert.equal(ours.status, theirs.status);
});

for (const paper of ["sheet", "label", "card", "cost"]) {
  test(`the ${paper} is the same page, of every formula`, () => {
    const system = withFiles();
    let made = 0;
    // A process for each would take minutes: the program makes every eighth, the core all of them.
    formulas.forEach((name, n) => {
      const args = [paper, name, "--format", "html", ...(paper === "label" || paper === "card" ? [] : ["--batch", "200g"])];
      const ours = system.run(args);
      if (ours.out.startsWith("<!DOCTYPE html>")) made += 1;
      if (n % 8 !== 0 && !name.startsWith("examples/")) return;
      const theirs = native(args);
      assert.equal(ours.out, theirs.out, name);
      assert.equal(ours.status, theirs.status, name);
    });
    assert.ok(made > (paper === "cost" ? 10 : 60), `${made} pages`);
  });
}

test("comparison, dose and search are the same", () => {
  const system = withFiles();
  for (const args of [
    ["compare", "examples/conditioner-rinse.formula", "examples/mild-shampoo.formula", "--format", "html"],
    ["dose", "examples/hand-cream-031.batch", "--json"],
    ["find", "--json", "mild", "surfactant"],
    ["ingredient", "--json", "glycerin"],
    ["explain", "heat-sensitive", "--json"],
    ["stock", "--json", "examples/workshop"],
  ]) {
    const theirs = native(args);
    const ours = system.run(args);
    assert.equal(ours.out, theirs.out, args.join(" "));
    assert.equal(ours.status, theirs.status, args.join(" "));
  }
});

test("every starter is sound, and a warning with a way out waits in the first", () => {
  const system = withFiles();
  const source = readFileSync(path.join(project, "editors/page/src/ui/starters.ts"), "utf8");
  const starters = [...source.matchAll(/from "((?:\.\.\/)+[^"]+\.formula)"/g)].map(([, from]) => path.resolve(project, "editors/page/src/ui", from));
  assert.ok(starters.length >= 13, `${starters.length}`);
  for (const file of starters) {
    system.write("starter.formula", readFileSync(file, "utf8"));
    const { files } = JSON.parse(system.run(["check", "--json", "starter.formula"]).out);
    const grave = files[0].findings.filter(({ severity }) => severity === "error" || severity === "warning");
    const isFirst = file.endsWith("first-cream.formula");
    assert.equal(grave.length, isFirst ? 1 : 0, `${file}: ${grave.map(({ message }) => message)}`);
    if (isFirst) assert.ok(grave[0].fixes.length > 0);
  }
});

test("wrong usage is said and does not end the core", () => {
  const system = withFiles();
  const wrong = system.run(["sheet"]);
  assert.equal(wrong.status, 2);
  assert.match(wrong.err, /FORMULA/);
  assert.equal(system.run(["explain", "heat-sensitive"]).status, 0);
});

// The language server: the same messages to both, the same findings and papers from both.

class Native {
  constructor() {
    this.process = spawn(program, ["serve"], { stdio: ["pipe", "pipe", "inherit"] });
    this.read = Buffer.alloc(0);
    this.said = [];
    this.process.stdout.on("data", (data) => {
      this.read = Buffer.concat([this.read, data]);
      for (;;) {
        const head = this.read.indexOf("\r\n\r\n");
        if (head < 0) return;
        const end = head + 4 + Number(/Content-Length: *(\d+)/i.exec(this.read.subarray(0, head).toString())[1]);
        if (this.read.length < end) return;
        this.take(JSON.parse(this.read.subarray(head + 4, end).toString()));
        this.read = this.read.subarray(end);
      }
    });
  }

  take(message) {
    this.said.push(message);
    this.wake?.();
  }

  send(message) {
    const body = Buffer.from(JSON.stringify(message));
    this.process.stdin.write(`Content-Length: ${body.length}\r\n\r\n`);
    this.process.stdin.write(body);
  }

  async until(found) {
    for (;;) {
      const message = this.said.find(found);
      if (message) return message;
      await new Promise((wake) => (this.wake = wake));
    }
  }

  end() {
    this.process.kill();
  }
}

const capabilities = JSON.parse(readFileSync(path.join(project, "tests/it/support/clients/codemirror.json"), "utf8"));
const hello = { ...(capabilities.params ?? capabilities), rootUri: pathToFileURL(project).href, workspaceFolders: null, processId: null, initializationOptions: { showsPapers: true } };

test("the server publishes the same findings and answers with the same papers", async (context) => {
  const theirs = new Native();
  context.after(() => theirs.end());
  const system = withFiles(`${project}/`);
  const said = [];
  const both = (message) => {
    theirs.send(message);
    said.push(...system.receive([JSON.stringify(message)]).map((line) => JSON.parse(line)));
  };
  both({ jsonrpc: "2.0", id: 1, method: "initialize", params: hello });
  await theirs.until(({ id, method }) => id === 1 && !method);
  assert.deepEqual(said.find(({ id, method }) => id === 1 && !method), theirs.said.find(({ id, method }) => id === 1 && !method));
  both({ jsonrpc: "2.0", method: "initialized", params: {} });
  let compared = 0;
  let id = 10;
  for (const name of judged) {
    const uri = pathToFileURL(path.join(project, name)).href;
    both({ jsonrpc: "2.0", method: "textDocument/didOpen", params: { textDocument: { uri, languageId: name.split(".").pop(), version: 1, text: read(name) } } });
    const of = ({ method, params }) => method === "textDocument/publishDiagnostics" && params.uri === uri;
    const [a, b] = [said.findLast(of), await theirs.until(of)];
    assert.equal(JSON.stringify(a), JSON.stringify(b), name);
    compared += 1;
    if (name.startsWith("examples/") && name.endsWith(".formula")) {
      for (const command of ["phasewright.sheet", "phasewright.label", "phasewright.card"]) {
        const asked = id++;
        both({ jsonrpc: "2.0", id: asked, method: "workspace/executeCommand", params: { command, arguments: [uri] } });
        const answer = ({ id, method }) => id === asked && !method;
        const [ours, native] = [said.find(answer), await theirs.until(answer)];
        assert.ok(native.result?.html ?? native.error, name);
        assert.equal(ours.result?.html, native.result?.html, `${name} ${command}`);
        assert.deepEqual(ours.error, native.error);
      }
    }
    both({ jsonrpc: "2.0", method: "textDocument/didClose", params: { textDocument: { uri } } });
  }
  assert.equal(compared, judged.length);
});

test("a file is judged with its neighbours as the page has them", () => {
  const system = new System(module, now);
  const uri = "file:///cream.formula";
  const send = (message) => system.receive([JSON.stringify({ jsonrpc: "2.0", ...message })]).map((line) => JSON.parse(line));
  send({ id: 1, method: "initialize", params: { ...hello, rootUri: "file:///" } });
  send({ method: "initialized", params: {} });
  const text = 'formula "Cream"\n  product: body lotion, leave-on\n\nphase A\n  "base.formula"  100 %\n';
  const codes = (all) => all.filter(({ method }) => method === "textDocument/publishDiagnostics").flatMap(({ params }) => params.diagnostics.map(({ code }) => code));
  const alone = codes(send({ method: "textDocument/didOpen", params: { textDocument: { uri, languageId: "formula", version: 1, text } } }));
  assert.ok(alone.includes("unknown-formula"), alone.join());
  system.write("base.formula", 'formula "Base"\n\nphase A\n  sunflower oil  100 %\n');
  const then = codes(send({ method: "workspace/didChangeWatchedFiles", params: { changes: [{ uri: "file:///base.formula", type: 1 }] } }));
  assert.ok(!then.includes("unknown-formula"), then.join());
});
