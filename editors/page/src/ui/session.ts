// One open text and its file: typed, journalled, written. No letter is lost on the way, whatever fails.
import { ChangedElsewhere, NotWritten, type Home } from "../homes/home";
import type { Journal } from "../homes/journal";
import { later } from "./dom";

/** The file is written this long after the last key. */
const WRITE_AFTER = 400;
/** What could not be written is tried again. */
const TRY_AGAIN_AFTER = 5000;

export type Kept =
  | { state: "kept" }
  | { state: "typing" }
  /** In the journal, and not in its file: why. */
  | { state: "journal"; why: string }
  /** In this window only: why. */
  | { state: "nowhere"; why: string }
  /** The file holds something else by now; null: it is gone. */
  | { state: "conflict"; theirs: string | null };

export class Session {
  private writing: Promise<void> = Promise.resolve();
  private retry: ReturnType<typeof setTimeout> | undefined;
  private journalled = true;
  kept: Kept = { state: "kept" };

  constructor(
    private home: Home,
    private journal: Journal,
    readonly path: string,
    /** The newest text. */
    public text: string,
    /** What the file holds, as far as this window knows; null: there is none yet. */
    public saved: string | null,
    private tell: (session: Session) => void,
  ) {}

  /** Call it with every change. */
  typed(text: string) {
    this.text = text;
    if (text === this.saved && this.kept.state !== "conflict") {
      this.journal.done(this.path);
      return this.say({ state: "kept" });
    }
    this.journalled = this.journal.keep(this.path, text, this.saved);
    if (this.kept.state === "conflict") return;
    if (!this.journalled) this.say({ state: "nowhere", why: "the browser's storage is full" });
    else if (this.kept.state === "kept") this.say({ state: "typing" });
    this.writeSoon();
  }

  private writeSoon = later(WRITE_AFTER, () => void this.write());

  /** Writes what is typed now. */
  async flush() {
    this.writeSoon.now();
    await this.writing;
  }

  private write(): Promise<void> {
    this.writing = this.writing.then(() => this.writeOnce());
    return this.writing;
  }

  private async writeOnce() {
    clearTimeout(this.retry);
    if (this.kept.state === "conflict" || this.text === this.saved) return;
    const text = this.text;
    try {
      await this.home.write(this.path, text, this.saved);
      this.saved = text;
      if (this.text === text) {
        this.journal.done(this.path);
        this.say({ state: "kept" });
      } else {
        // More was typed meanwhile: the journal now counts from here.
        this.journalled = this.journal.keep(this.path, this.text, text);
        this.writeSoon();
      }
    } catch (error) {
      if (error instanceof ChangedElsewhere) return this.say({ state: "conflict", theirs: error.now });
      const why = error instanceof NotWritten || error instanceof Error ? error.message : String(error);
      this.say(this.journalled ? { state: "journal", why } : { state: "nowhere", why });
      this.retry = setTimeout(() => void this.write(), TRY_AGAIN_AFTER);
    }
  }

  /** The file may have changed. Gives the text to show where nothing was typed here since. */
  async look(): Promise<string | null> {
    await this.writing;
    const now = await this.home.read(this.path);
    if (now === this.saved) return null;
    if (now === this.text) {
      this.saved = now;
      this.journal.done(this.path);
      this.say({ state: "kept" });
      return null;
    }
    if (this.text === this.saved && now !== null) {
      this.saved = now;
      this.text = now;
      return now;
    }
    this.say({ state: "conflict", theirs: now });
    return null;
  }

  /** The maker has decided: this text stands, over the one that the file holds. */
  async settle(text: string, theirs: string | null) {
    this.saved = theirs;
    this.text = text;
    this.kept = { state: "typing" };
    this.journalled = this.journal.keep(this.path, text, theirs);
    if (text === theirs) {
      this.journal.done(this.path);
      return this.say({ state: "kept" });
    }
    await this.write();
  }

  close() {
    clearTimeout(this.retry);
  }

  private say(kept: Kept) {
    this.kept = kept;
    this.tell(this);
  }
}
