// What the core sees of a system: files in memory, a clock, arguments, input and output. It asks for nothing else.
import { Directory, Fd, File, OpenFile, PreopenDirectory, WASI, type Inode } from "@bjorn3/browser_wasi_shim";

export interface Ran {
  status: number;
  out: string;
  err: string;
  /** Files that the command has written, from the root without the first slash. */
  written: { path: string; text: string }[];
}

interface Exports {
  memory: WebAssembly.Memory;
  _initialize?: () => void;
  receive: () => void;
  answer: () => number;
}

/** A file with the time of its last change, by which the server sees that it was written again. */
class KeptFile extends File {
  changed: bigint;

  constructor(bytes: Uint8Array, changed: bigint) {
    super(bytes);
    this.changed = changed;
  }

  override stat() {
    const stat = super.stat();
    stat.mtim = this.changed;
    return stat;
  }
}

/** Takes what is written. */
class Sink extends Fd {
  private parts: Uint8Array[] = [];

  override fd_write(data: Uint8Array) {
    this.parts.push(data.slice());
    return { ret: 0, nwritten: data.byteLength };
  }

  take(): string {
    const decoder = new TextDecoder();
    const text = this.parts.map((part) => decoder.decode(part, { stream: true })).join("") + decoder.decode();
    this.parts = [];
    return text;
  }
}

const encode = (text: string) => new TextEncoder().encode(text);
const parts = (path: string) => path.split("/").filter((part) => part !== "");

export class System {
  private root = new PreopenDirectory("/", new Map<string, Inode>());
  private out = new Sink();
  private err = new Sink();
  private wasi: WASI;
  private exports: Exports;
  private changes = 0n;

  /** `now` gives milliseconds since 1970 of the local clock, as if it were universal time: the day is read from it. */
  constructor(module: WebAssembly.Module, now: () => number) {
    this.wasi = new WASI([], [], [new OpenFile(new File([])), this.out, this.err, this.root], { debug: false });
    const imports = { ...this.wasi.wasiImport };
    imports.clock_time_get = (_clock: number, _precision: bigint, at: number) => {
      new DataView(this.exports.memory.buffer).setBigUint64(at, BigInt(Math.floor(now())) * 1_000_000n, true);
      return 0;
    };
    const instance = new WebAssembly.Instance(module, { wasi_snapshot_preview1: imports as WebAssembly.ModuleImports });
    this.exports = instance.exports as unknown as Exports;
    this.wasi.initialize(instance as unknown as { exports: Exports });
  }

  write(path: string, text: string) {
    const names = parts(path);
    const name = names.pop();
    if (name === undefined) return;
    let folder: Directory = this.root.dir;
    for (const part of names) {
      let next = folder.contents.get(part);
      if (!(next instanceof Directory)) {
        next = new Directory(new Map());
        folder.contents.set(part, next);
      }
      folder = next as Directory;
    }
    this.changes += 1n;
    folder.contents.set(name, new KeptFile(encode(text), this.changes * 1_000_000_000n));
  }

  remove(path: string) {
    const names = parts(path);
    const name = names.pop();
    let folder: Directory = this.root.dir;
    for (const part of names) {
      const next = folder.contents.get(part);
      if (!(next instanceof Directory)) return;
      folder = next;
    }
    if (name !== undefined) folder.contents.delete(name);
  }

  /** Hands messages to the language server; gives what it says, a message each. */
  receive(messages: string[]): string[] {
    this.input(messages.join("\n") + "\n");
    this.exports.receive();
    const errors = this.err.take();
    if (errors) console.warn(errors);
    return this.out.take().split("\n").filter((line) => line !== "");
  }

  /** Runs a command of the program in the root folder. */
  run(args: string[]): Ran {
    this.input("");
    this.wasi.args = ["phasewright", ...args];
    const status = this.exports.answer();
    return { status, out: this.out.take(), err: this.err.take(), written: this.takeWritten() };
  }

  private input(text: string) {
    this.wasi.fds[0] = new OpenFile(new File(encode(text)));
  }

  /** What is a plain file was made by the core: a file that was handed in is a kept one. */
  private takeWritten() {
    const written: Ran["written"] = [];
    const look = (folder: Directory, before: string) => {
      for (const [name, entry] of [...folder.contents]) {
        if (entry instanceof Directory) look(entry, `${before}${name}/`);
        else if (entry instanceof File && !(entry instanceof KeptFile)) {
          const text = new TextDecoder().decode(entry.data);
          written.push({ path: before + name, text });
          this.write(before + name, text);
        }
      }
    };
    look(this.root.dir, "");
    return written;
  }
}
