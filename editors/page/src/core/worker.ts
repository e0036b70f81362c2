// The worker: the core on a thread of its own, so that typing never waits for a judgement.
import type { FromWorker, ToWorker } from "./messages";
import { System } from "./system";
import { XzReadableStream } from "xz-decompress";

const tell = (message: FromWorker) => postMessage(message);
const localNow = () => Date.now() - new Date().getTimezoneOffset() * 60_000;

let system: System | undefined;
/** What came before the core was there. */
let early: ToWorker[] = [];

onmessage = ({ data }: MessageEvent<ToWorker>) => {
  if (data.kind === "start") void start(data);
  else if (system === undefined) early.push(data);
  else take(system, data);
};

async function start(from: Extract<ToWorker, { kind: "start" }>) {
  try {
    const module = await compile(from.core);
    const started = new System(module, localNow);
    from.files.forEach(([path, text]) => started.write(path, text));
    system = started;
    tell({ kind: "ready" });
    const waiting = early;
    early = [];
    waiting.forEach((message) => take(started, message));
  } catch (error) {
    tell({ kind: "failed", what: String(error) });
  }
}

/** The core comes packed with xz: by a third smaller than gzip makes it, and a page on a phone has to fetch it. */
async function compile(address: string): Promise<WebAssembly.Module> {
  const answer = await fetch(address);
  if (!answer.ok || answer.body === null) throw new Error(`${address}: ${answer.status} ${answer.statusText}`);
  return WebAssembly.compile(await new Response(new XzReadableStream(answer.body)).arrayBuffer());
}

function take(core: System, message: ToWorker) {
  try {
    switch (message.kind) {
      case "write":
        return core.write(message.path, message.text);
      case "remove":
        return core.remove(message.path);
      case "lsp":
        return core.receive([message.message]).forEach((said) => tell({ kind: "lsp", message: said }));
      case "run": {
        message.files.forEach(([path, text]) => core.write(path, text));
        const ran = core.run(message.args);
        message.files.forEach(([path]) => core.remove(path));
        return tell({ kind: "ran", id: message.id, ran });
      }
    }
  } catch (error) {
    // A fault of the core ends its instance; the page starts another one with the newest texts.
    system = undefined;
    tell({ kind: "failed", what: String(error) });
  }
}
