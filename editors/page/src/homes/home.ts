// Where files live. One shape for three homes: this browser, a folder on this machine, a folder that `phasewright open` serves.

export type HomeKind = "browser" | "folder" | "served";

export interface Home {
  readonly kind: HomeKind;
  /** As the page names it. */
  readonly name: string;
  /** All files that the page knows how to show, each with its text. Paths have `/` and begin without one. */
  list(): Promise<Map<string, string>>;
  /** The text of a file; null: there is none. */
  read(path: string): Promise<string | null>;
  /**
   * Writes a file whole or not at all, provided that it still holds `before` (null: that there is none). Where it holds something else,
   * nothing is written and `ChangedElsewhere` is thrown.
   */
  write(path: string, text: string, before: string | null): Promise<void>;
  /** Takes a file away on the same condition. */
  remove(path: string, before: string): Promise<void>;
  /** Calls `tell` when something may have changed that this window did not write. Gives the way to stop it. */
  watch(tell: () => void): () => void;
}

/** The file is not as this window knew it. */
export class ChangedElsewhere extends Error {
  constructor(
    readonly path: string,
    /** What it holds now; null: it is gone. */
    readonly now: string | null,
  ) {
    super(`${path} was changed by another window or program`);
  }
}

/** There is no room, no permission, no server: the text could not be written, and why. */
export class NotWritten extends Error {}

/** Files larger than this are no formulas; the core reads no more either. */
export const MOST_BYTES = 4 * 1024 * 1024;

/** Whether the page shows a file of this name. Hidden files and folders are left alone. */
export function isShown(path: string): boolean {
  const names = path.split("/");
  if (names.some((name) => name === "" || name.startsWith("."))) return false;
  const name = names[names.length - 1]!;
  const isOwnIngredient = names.length > 1 && names[names.length - 2] === "ingredients" && name.endsWith(".toml");
  return /\.(formula|batch|stock)$/.test(name) || name === "phasewright.toml" || isOwnIngredient;
}

/** Does one thing after another on a file, across the windows of this browser. */
export function oneAtATime<T>(path: string, work: () => Promise<T>): Promise<T> {
  return navigator.locks ? (navigator.locks.request(`phasewright:${path}`, work) as Promise<T>) : work();
}
