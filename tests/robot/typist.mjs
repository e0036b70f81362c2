// Types a text line by line as a person does: looks where the editor has put the cursor before a line, and otherwise types on.
import { pause, until } from "./time.mjs";

const ROW = /^\s+(\S.*?)\s{1,}(?:(?:\d[\d.,]*\s?(?:%|g|mL|parts|drops))|q\.s\.).*$/;
const FIELD = /^\s+([a-zA-Z][a-zA-Z ]*):/;
const HEADING = /^([a-z]{5,})\b/;

/** Blanks in a row count as one: an accepted item brings its own. */
export const squeeze = (text) => text.replace(/(\S) {2,}/g, "$1 ").trimEnd();

/** The hand needs that long. */
const TO_THE_ARROWS_MS = 300;

/** So late an editor on a busy machine shows what a key did, at the most: who types on before sees an old line and spoils the new one. */
const LATE_MS = 3000;

const indentOf = (line) => line.length - line.trimStart().length;

/**
 * @param {object} desk an editor with an empty file open
 * @param {string[]} lines what is meant
 * @param {{ ms: number, habit: "enter" | "tab" | "arrows", acceptKey: string, closeKey: string }} manner
 * @returns {Promise<{ accepted: Set<number>, surprises: string[] }>} the lines of which a part was taken from the list, and
 *   what came instead of what the list promised
 */
export async function type(desk, lines, manner) {
  const typist = new Typist(desk, lines, manner);
  await typist.all();
  await pause(600);
  return { accepted: typist.accepted, surprises: typist.surprises };
}

class Typist {
  constructor(desk, lines, { ms, habit, acceptKey, closeKey }) {
    Object.assign(this, { desk, lines, ms, habit, acceptKey, closeKey });
    this.accepted = new Set();
    this.surprises = [];
    this.last = 0;
    this.rows = 0;
    this.section = "";
  }

  async press(key, times = 1) {
    for (let n = 0; n < times; n++) {
      const early = this.last + this.ms - Date.now();
      if (early > 0) await pause(early);
      this.last = Date.now();
      await this.desk.press(key);
    }
  }

  async write(text) {
    for (const character of text) await this.press(character);
  }

  async all() {
    for (let n = 0; n < this.lines.length; n++) {
      if (n > 0) await this.newLine();
      this.section = HEADING.exec(this.lines[n])?.[1] ?? this.section;
      const isRow = this.isRow(n);
      if (isRow) this.rows++;
      if (this.habit === "tab") await this.withList(n, this.acceptKey);
      else if (this.habit === "arrows" && isRow && this.rows % 3 === 0 && this.isRow(n + 1)) {
        await this.forgotten(n);
        n++;
      } else if (this.habit === "arrows" && isRow && this.rows % 3 === 1) await this.withList(n, "Enter");
      else if (this.habit === "arrows" && isRow) await this.slip(n);
      else await this.line(n);
    }
  }

  isRow(n) {
    return n < this.lines.length && /^(phase|premix)$/.test(this.section) && ROW.test(this.lines[n]);
  }

  /** Enter, then a look at the new line. */
  async newLine() {
    const before = await this.desk.look();
    await this.press("Enter");
    await until(LATE_MS, async () => (await this.desk.look()).line > before.line);
  }

  /** Makes the blanks before a line as many as are meant; whoever stands in a line already types on. */
  async indent(wanted) {
    let at = await this.desk.look();
    if (at.text.trim() !== "") return;
    for (let tries = 0; at.to > wanted && tries < 20; tries++) {
      const before = at.to;
      await this.press("Backspace");
      await until(LATE_MS, async () => (await this.desk.look()).to < before);
      at = await this.desk.look();
    }
    await this.write(" ".repeat(Math.max(0, wanted - at.to)));
  }

  /** A blank line is left as the editor makes it. */
  async begin(n) {
    if (this.lines[n] !== "") await this.indent(indentOf(this.lines[n]));
  }

  async line(n) {
    await this.begin(n);
    await this.write(this.lines[n].trimStart());
  }

  /** Types until the list shows the wanted word, takes it with `key`, and types the rest. */
  async withList(n, key) {
    await this.begin(n);
    const line = this.lines[n];
    // Names and fields alone: what a heading brings is a page to fill in.
    const word = (this.isRow(n) ? ROW : FIELD).exec(line)?.[1];
    const rest = line.trimStart();
    if (!word || [...word].length < 4) return this.write(rest);
    const letters = [...word];
    for (let typed = 0; typed < letters.length; typed++) {
      if ([3, 5, 8].includes(typed) && (await this.choose(word, key))) {
        this.accepted.add(n);
        return this.finish(n, word);
      }
      await this.press(letters[typed]);
    }
    await this.write(rest.slice(word.length));
  }

  /** Looks at the list until it stands still; takes the word if it is there. */
  async choose(word, key) {
    await pause(Math.max(200, this.ms));
    const list = async () => JSON.stringify(await this.desk.list());
    let seen = await list();
    for (let tries = 0; tries < 5; tries++) {
      await pause(100);
      const now = await list();
      if (now === seen) break;
      seen = now;
    }
    const at = JSON.parse(seen)?.labels.indexOf(word) ?? -1;
    if (at < 0 || at > 9) return false;
    const before = (await this.desk.look()).text;
    if (!(await this.mark(word, at, key))) return this.leave(before);
    const marked = (await this.desk.look()).text;
    await this.press(key);
    // A list that was about to change may not take the key: then the word is typed on. Where marking writes the word
    // already, the key adds what comes with it, or nothing.
    const taken = await until(marked !== before ? 500 : LATE_MS, async () => (await this.desk.look()).text !== marked);
    await pause(250);
    return taken || marked !== before;
  }

  /** Moves down to a row of the list. False if the list has become another. */
  async mark(word, at, key) {
    for (let tries = 0; tries < 12; tries++) {
      const now = await this.desk.list();
      if (!now || now.labels[at] !== word) return false;
      if (now.selected === at) return true;
      // The extension's Tab takes the first row, marked or not.
      if (key === "Tab" && now.selected < 0 && at === 0) return true;
      await this.press(key === "<C-y>" ? "<C-n>" : "ArrowDown");
      await until(LATE_MS, async () => (await this.desk.list())?.selected !== now.selected);
    }
    return false;
  }

  /** Nothing was taken: what marking has written goes, and the list with it. */
  async leave(before) {
    const { text } = await this.desk.look();
    if (text === before) return false;
    await this.press(this.closeKey);
    if (await until(LATE_MS, async () => (await this.desk.look()).text === before)) return false;
    const wanted = [...before];
    const stands = [...(await this.desk.look()).text];
    let same = 0;
    while (same < wanted.length && wanted[same] === stands[same]) same++;
    await this.press("Backspace", stands.length - same);
    await this.write(wanted.slice(same).join(""));
    return false;
  }

  /** After a word was taken: what the item brought with it stays if it is meant, and goes if not. */
  async finish(n, word) {
    const meant = this.lines[n];
    const at = await this.desk.look();
    const characters = [...at.text];
    const [before, after] = [characters.slice(0, at.from).join(""), characters.slice(at.to).join("")];
    const name = " ".repeat(indentOf(meant)) + word;
    if (!at.text.startsWith(name)) {
      this.surprises.push(`line ${n + 1}: took "${word}", got "${at.text}"`);
      return this.write(meant.slice(name.length));
    }
    const amount = meant.slice(name.length).trimStart();
    const gap = " ".repeat(meant.length - name.length - amount.length);
    const brought = before.slice(name.length);
    // Whatever stands behind the name but is neither blanks nor the beginning of what is meant goes.
    const kept = loosely(meant.slice(name.length), brought);
    if (kept === undefined) await this.press("Backspace", [...brought].length + (at.to > at.from ? 1 : 0));
    const rest = kept === undefined || brought === "" ? gap + amount : kept;
    // What is typed takes the place of what is marked.
    if (after && rest.endsWith(after)) {
      await this.write(rest.slice(0, rest.length - after.length));
      return this.press("End");
    }
    await this.write(rest);
    await this.press("Delete", [...after].length);
  }

  /** A letter is left out, found missing, and put in. */
  async slip(n) {
    const line = this.lines[n].trimStart();
    const name = ROW.exec(this.lines[n])[1];
    const left = Math.max(1, name.length - 3);
    await this.begin(n);
    await this.write(name.slice(0, left) + name.slice(left + 1));
    await pause(TO_THE_ARROWS_MS);
    await this.press("ArrowLeft", name.length - left - 1);
    await this.press(name[left]);
    await this.press("End");
    await this.write(line.slice(name.length));
  }

  /** The next row comes first; then up, and the forgotten one above it. */
  async forgotten(n) {
    await this.line(n + 1);
    await this.toLine("ArrowUp", -1);
    await this.newLine();
    await this.line(n);
    await this.toLine("ArrowDown", 1);
  }

  /** One line up or down, to its end. Arrows belong to a list while one is open: it is closed first, also one that comes late. */
  async toLine(arrow, by) {
    await pause(TO_THE_ARROWS_MS);
    const from = (await this.desk.look()).line;
    for (let tries = 0; tries < 3; tries++) {
      if (await this.desk.list()) await this.press(this.closeKey);
      await this.press(arrow);
      if (await until(LATE_MS, async () => (await this.desk.look()).line === from + by)) break;
    }
    await this.press("End");
  }
}

/** What is missing of `meant` behind `brought`, blanks counted loosely; nothing if `brought` is not its beginning. */
function loosely(meant, brought) {
  if (brought.trim() === "") return brought === "" ? meant : meant.trimStart();
  const wanted = meant.trimStart();
  return wanted.startsWith(brought.trimStart()) ? wanted.slice(brought.trimStart().length) : undefined;
}
