// A home behind a directory handle: this browser's own storage, or a folder that the maker has opened. Both speak the same interface.
import { ChangedElsewhere, MOST_BYTES, NotWritten, isShown, oneAtATime, type Home, type HomeKind } from "./home";

/** How often a folder is looked at: browsers do not tell of other programs' changes. */
const LOOK_EVERY = 2000;

export class HandleHome implements Home {
  private channel = typeof BroadcastChannel === "undefined" ? undefined : new BroadcastChannel("phasewright-files");

  constructor(
    readonly kind: HomeKind,
    readonly name: string,
    private root: FileSystemDirectoryHandle,
  ) {}

  async list(): Promise<Map<string, string>> {
    const found = new Map<string, string>();
    const look = async (folder: FileSystemDirectoryHandle, before: string, depth: number) => {
      for await (const [name, handle] of folder.entries()) {
        const path = before + name;
        if (name.startsWith(".")) continue;
        if (handle.kind === "directory") {
          if (depth < 8) await look(handle as FileSystemDirectoryHandle, `${path}/`, depth + 1);
        } else if (isShown(path)) {
          const text = await textOf(handle as FileSystemFileHandle);
          if (text !== null) found.set(path, text);
        }
      }
    };
    await look(this.root, "", 0);
    return found;
  }

  async read(path: string): Promise<string | null> {
    const handle = await this.handle(path, false);
    return handle && textOf(handle);
  }

  write(path: string, text: string, before: string | null): Promise<void> {
    return oneAtATime(path, async () => {
      const now = await this.read(path);
      if (now === text) return;
      if (now !== before) throw new ChangedElsewhere(path, now);
      try {
        const handle = await this.handle(path, true);
        // What is written lies in a file of its own until it is closed; then it takes the place of the old one, whole.
        const stream = await handle!.createWritable();
        try {
          await stream.write(text);
          await stream.close();
        } catch (error) {
          await stream.abort().catch(() => {});
          throw error;
        }
      } catch (error) {
        // A file that was only just made and could not be filled is taken away again.
        if (before === null) await this.take(path).catch(() => {});
        throw new NotWritten(words(error));
      }
      this.channel?.postMessage(path);
    });
  }

  remove(path: string, before: string): Promise<void> {
    return oneAtATime(path, async () => {
      const now = await this.read(path);
      if (now === null) return;
      if (now !== before) throw new ChangedElsewhere(path, now);
      await this.take(path);
      this.channel?.postMessage(path);
    });
  }

  watch(tell: () => void): () => void {
    const listen = () => tell();
    this.channel?.addEventListener("message", listen);
    const timer = this.kind === "folder" ? setInterval(tell, LOOK_EVERY) : undefined;
    const seen = () => document.visibilityState === "visible" && tell();
    document.addEventListener("visibilitychange", seen);
    return () => {
      this.channel?.removeEventListener("message", listen);
      clearInterval(timer);
      document.removeEventListener("visibilitychange", seen);
    };
  }

  private async folderOf(path: string, create: boolean): Promise<[FileSystemDirectoryHandle, string]> {
    const names = path.split("/");
    const name = names.pop()!;
    let folder = this.root;
    for (const part of names) folder = await folder.getDirectoryHandle(part, { create });
    return [folder, name];
  }

  private async handle(path: string, create: boolean): Promise<FileSystemFileHandle | null> {
    try {
      const [folder, name] = await this.folderOf(path, create);
      return await folder.getFileHandle(name, { create });
    } catch (error) {
      if (!create && error instanceof DOMException && ["NotFoundError", "TypeMismatchError"].includes(error.name)) return null;
      throw error;
    }
  }

  private async take(path: string) {
    const [folder, name] = await this.folderOf(path, false);
    await folder.removeEntry(name);
  }
}

/** None: too large, or no text. */
async function textOf(handle: FileSystemFileHandle): Promise<string | null> {
  const file = await handle.getFile();
  if (file.size > MOST_BYTES) return null;
  try {
    return new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(await file.arrayBuffer());
  } catch {
    return null;
  }
}

function words(error: unknown): string {
  const name = error instanceof DOMException ? error.name : "";
  if (name === "QuotaExceededError") return "there is no room left in this browser's storage";
  if (name === "NotAllowedError") return "the browser does not allow it; open the folder again";
  return error instanceof Error ? error.message : String(error);
}

/** The storage of this browser. */
export async function browserHome(): Promise<Home> {
  const root = await navigator.storage.getDirectory();
  const folder = await root.getDirectoryHandle("phasewright", { create: true });
  return new HandleHome("browser", "This browser", folder);
}

export const canOpenFolders = () => typeof window.showDirectoryPicker === "function";

/** Asks the maker for a folder; null: none was chosen. */
export async function folderHome(): Promise<Home | null> {
  try {
    const root = await window.showDirectoryPicker({ mode: "readwrite", id: "phasewright" });
    return new HandleHome("folder", root.name, root);
  } catch (error) {
    if (error instanceof DOMException && error.name === "AbortError") return null;
    throw error;
  }
}
