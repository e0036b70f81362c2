// What is typed and not yet in its file. It is written at every change before anything else, so that a crash takes nothing with it, and
// cleared when the file holds the text.

export interface Entry {
  path: string;
  text: string;
  /** What the file held when the typing began; null: it was not there. */
  before: string | null;
  /** When, in milliseconds since 1970. */
  at: number;
}

const PREFIX = "phasewright-journal:";

export class Journal {
  /** `home` keeps the files of one home apart from another's, `window` two windows on one file. */
  constructor(
    private home: string,
    private window: string,
  ) {}

  private key(path: string) {
    return `${PREFIX}${this.home}:${this.window}:${path}`;
  }

  /** False: there is no room, and the text is in this window only. */
  keep(path: string, text: string, before: string | null): boolean {
    const entry: Entry = { path, text, before, at: Date.now() };
    try {
      localStorage.setItem(this.key(path), JSON.stringify(entry));
      return true;
    } catch {
      return false;
    }
  }

  done(path: string) {
    localStorage.removeItem(this.key(path));
  }

  /** What windows that are gone have left behind, the newest of each file last. */
  left(isGone: (window: string) => boolean): { key: string; entry: Entry }[] {
    const found: { key: string; entry: Entry }[] = [];
    for (const key of Object.keys(localStorage)) {
      const begin = `${PREFIX}${this.home}:`;
      if (!key.startsWith(begin)) continue;
      const window = key.slice(begin.length).split(":")[0]!;
      if (!isGone(window)) continue;
      try {
        found.push({ key, entry: JSON.parse(localStorage.getItem(key)!) as Entry });
      } catch {
        localStorage.removeItem(key);
      }
    }
    return found.sort((a, b) => a.entry.at - b.entry.at);
  }

  static drop(key: string) {
    localStorage.removeItem(key);
  }
}

/** A name for this window; the lock under it is held for as long as the window lives, so that others know. */
export async function liveWindow(): Promise<{ name: string; isGone: (window: string) => boolean }> {
  const name = crypto.randomUUID();
  if (!navigator.locks) return { name, isGone: (window) => window !== name };
  await new Promise<void>((held) => {
    void navigator.locks.request(`phasewright-window:${name}`, () => {
      held();
      return new Promise(() => {});
    });
  });
  const { held } = await navigator.locks.query();
  const alive = new Set((held ?? []).map((lock) => lock.name));
  return { name, isGone: (window) => window !== name && !alive.has(`phasewright-window:${window}`) };
}
