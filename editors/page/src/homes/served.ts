// The folder that `phasewright open` serves on this machine. The token is part of the page's address, so every request has it.
import { ChangedElsewhere, NotWritten, type Home } from "./home";

interface Listed {
  folder: string;
  files: { path: string; text: string }[];
}

const LOOK_AGAIN_AFTER = 1000;

export class ServedHome implements Home {
  readonly kind = "served";

  private constructor(readonly name: string) {}

  /** Null: this page does not come from `phasewright open`. */
  static async find(): Promise<ServedHome | null> {
    const home = document.querySelector<HTMLMetaElement>('meta[name="phasewright-home"]')?.content;
    if (home !== "served") return null;
    const listed = (await (await ask("files")).json()) as Listed;
    return new ServedHome(listed.folder);
  }

  async list() {
    const listed = (await (await ask("files")).json()) as Listed;
    return new Map(listed.files.map(({ path, text }) => [path, text]));
  }

  async read(path: string) {
    const answer = await ask(`file?path=${encodeURIComponent(path)}`, {}, [404]);
    return answer.status === 404 ? null : answer.text();
  }

  async write(path: string, text: string, before: string | null) {
    await this.change(path, "PUT", before, text);
  }

  async remove(path: string, before: string) {
    await this.change(path, "DELETE", before);
  }

  private async change(path: string, method: string, before: string | null, body?: string) {
    const condition: Record<string, string> = before === null ? { "if-none-match": "*" } : { "if-match": await tag(before) };
    const address = `file?path=${encodeURIComponent(path)}`;
    let answer: Response;
    try {
      answer = await ask(address, { method, headers: condition, body }, [412]);
    } catch (error) {
      throw new NotWritten(error instanceof Error ? error.message : String(error));
    }
    if (answer.status === 412) {
      const now = await this.read(path);
      if (now !== body) throw new ChangedElsewhere(path, now);
    }
  }

  watch(tell: () => void) {
    let goes = true;
    const wait = async () => {
      for (let since = ""; goes; ) {
        try {
          const answer = await ask(`changes?since=${since}`);
          const { state } = (await answer.json()) as { state: string };
          if (goes && since !== "" && state !== since) tell();
          since = state;
        } catch {
          await new Promise((again) => setTimeout(again, LOOK_AGAIN_AFTER));
        }
      }
    };
    void wait();
    return () => {
      goes = false;
    };
  }
}

async function ask(what: string, how: RequestInit = {}, fine: number[] = []): Promise<Response> {
  let answer: Response;
  try {
    answer = await fetch(`api/${what}`, { ...how, cache: "no-store" });
  } catch {
    throw new Error("the program that serves this folder does not answer; start `phasewright open` again");
  }
  if (!answer.ok && !fine.includes(answer.status)) throw new Error((await answer.text()) || answer.statusText);
  return answer;
}

/** The mark of a text, as the program makes it: SHA-256. */
async function tag(text: string): Promise<string> {
  const bytes = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text));
  return `"${[...new Uint8Array(bytes)].map((byte) => byte.toString(16).padStart(2, "0")).join("")}"`;
}
