// The core as the page sees it: a language server that is spoken to in messages, commands that are run, files that are kept in step.
import type { Transport } from "@codemirror/lsp-client";
import type { FromWorker, ToWorker } from "./messages";
import type { Ran } from "./system";

/** So many failures in a row, and the page stops trying: the text that it fails on is kept all the same. */
const MOST_FAILURES = 3;

export class Core {
  private worker: Worker | undefined;
  private files = new Map<string, string>();
  private handlers = new Set<(message: string) => void>();
  private waiting = new Map<number, { resolve: (ran: Ran) => void; reject: (why: Error) => void }>();
  private next = 1;
  private failures = 0;
  /** Called when another core has taken the place of one that failed: the server has to be greeted again. */
  onRestart: () => void = () => {};
  /** Called when the core fails for good. */
  onFailure: (what: string) => void = () => {};

  constructor(
    private script: string,
    private core: string,
  ) {}

  start(files: Iterable<[string, string]>) {
    this.files = new Map(files);
    this.begin();
  }

  /** Newest text of a file, on the core's disk. */
  write(path: string, text: string) {
    this.files.set(path, text);
    this.tell({ kind: "write", path, text });
  }

  remove(path: string) {
    this.files.delete(path);
    this.tell({ kind: "remove", path });
  }

  /** Runs a command of the program. `files` lie on its disk for as long as it runs. */
  run(args: string[], files: [string, string][] = []): Promise<Ran> {
    const id = this.next++;
    return new Promise((resolve, reject) => {
      this.waiting.set(id, { resolve, reject });
      this.tell({ kind: "run", id, args, files });
    });
  }

  transport: Transport = {
    send: (message) => this.tell({ kind: "lsp", message }),
    subscribe: (handler) => this.handlers.add(handler),
    unsubscribe: (handler) => this.handlers.delete(handler),
  };

  /** Ends the worker in the middle of its work, as a browser short of memory does it. */
  kill() {
    this.restart("the worker was ended");
  }

  private begin() {
    this.worker = new Worker(this.script, { type: "module" });
    this.worker.onmessage = ({ data }: MessageEvent<FromWorker>) => this.take(data);
    this.worker.onerror = (event) => this.restart(event.message);
    this.tell({ kind: "start", core: this.core, files: [...this.files], messages: [] });
  }

  private tell(message: ToWorker) {
    // Before the start there is nobody to tell: files are kept, and handed over then.
    this.worker?.postMessage(message);
  }

  private take(message: FromWorker) {
    switch (message.kind) {
      case "ready":
        return;
      case "lsp":
        this.failures = 0;
        return this.handlers.forEach((handler) => handler(message.message));
      case "ran":
        this.waiting.get(message.id)?.resolve(message.ran);
        this.waiting.delete(message.id);
        return;
      case "failed":
        return this.restart(message.what);
    }
  }

  private restart(what: string) {
    this.worker?.terminate();
    this.failures += 1;
    this.waiting.forEach(({ reject }) => reject(new Error(what)));
    this.waiting.clear();
    if (this.failures > MOST_FAILURES) return this.onFailure(what);
    this.begin();
    this.onRestart();
  }
}
