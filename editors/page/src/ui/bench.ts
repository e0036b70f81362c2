// The bench: a batch as large rows, for one hand. What to weigh now, tick or type the reading; then the log: temperature, pH, next dose.
// Every tap is a change of the text below, so that nothing stands here that does not stand there.
import type { Core } from "../core/core";
import { button, el } from "./dom";
import type { LspRange } from "./editor";

interface Row {
  name: string;
  planned: string | null;
  weighed: string | null;
  lot: string | null;
  range: LspRange;
}

export interface BenchState {
  code: string | null;
  formula: string | null;
  rows: Row[];
  logEnd: number | null;
  cool: { celsius: string; phase: string; minutes?: number; earliest?: number; latest?: number; unknown?: string } | null;
  hasPh: boolean;
}

interface Dose {
  verdict: string;
  with?: string;
  add_g?: string;
  suggest_first_g?: string;
  expected_ph?: number;
  target: string;
  caution: string[];
}

export interface BenchText {
  path: string;
  /** Replaces a place of the text. */
  replace(range: LspRange, text: string): void;
  /** Writes a line behind this one; null: under a new heading `log` at the end. */
  addLog(after: number | null, line: string): void;
}

const two = (n: number) => String(n).padStart(2, "0");
const clock = (minutes: number) => `${two(Math.floor(minutes / 60) % 24)}:${two(Math.floor(minutes) % 60)}`;
const nowMinutes = () => {
  const now = new Date();
  return now.getHours() * 60 + now.getMinutes() + now.getSeconds() / 60;
};

/** "8,02" and "8.02" are the same reading; anything else is none. */
export function reading(written: string): string | null {
  const plain = written.trim().replace(",", ".");
  return /^\d+(\.\d+)?$/.test(plain) && Number(plain) > 0 ? plain : null;
}

export class BenchView {
  private state: BenchState | undefined;
  private chosen: number | undefined;
  private dose: Dose | string | undefined;
  private doseFor = "";
  private timer: ReturnType<typeof setInterval> | undefined;

  constructor(
    private root: HTMLElement,
    private core: Core,
    private text: BenchText,
  ) {}

  show(state: BenchState, text: string) {
    const isNew = this.state === undefined;
    this.state = state;
    if (this.chosen !== undefined && state.rows[this.chosen]?.weighed !== null) this.chosen = undefined;
    if (state.hasPh && text !== this.doseFor) {
      this.doseFor = text;
      void this.askDose();
    }
    this.draw(isNew);
    clearInterval(this.timer);
    if (state.cool?.minutes !== undefined) this.timer = setInterval(() => this.count(), 1000);
  }

  close() {
    clearInterval(this.timer);
    this.root.replaceChildren();
  }

  private async askDose() {
    const asked = this.doseFor;
    const ran = await this.core.run(["dose", this.text.path, "--json"]);
    if (asked !== this.doseFor) return;
    this.dose = ran.status === 0 ? (JSON.parse(ran.out) as Dose) : ran.err.replace(/^phasewright: ([^:]+: )?/, "").trim();
    this.draw(false);
  }

  private draw(isNew: boolean) {
    const { state } = this;
    if (!state) return;
    const focused = (document.activeElement as HTMLElement | null)?.id;
    const typed = new Map([...this.root.querySelectorAll<HTMLInputElement>("input")].map((input) => [input.id, input.value]));
    const done = state.rows.filter(({ weighed }) => weighed !== null).length;
    const now = this.chosen ?? state.rows.findIndex(({ weighed }) => weighed === null);
    const row = state.rows[now];
    this.root.replaceChildren(
      el("h3", {}, `Bench: ${state.code ?? "batch"}`),
      el("p", { class: "progress" }, el("progress", { max: state.rows.length, value: done, "aria-label": "Weighed" }), ` ${done} of ${state.rows.length} weighed`),
      row ? this.current(row, now) : el("p", { class: "all-weighed" }, "All is weighed."),
      el("ol", { class: "bench-rows", "aria-label": "Rows" }, ...state.rows.map((one, n) => this.row(one, n, n === now))),
      this.log(state),
    );
    for (const input of this.root.querySelectorAll<HTMLInputElement>("input")) input.value = typed.get(input.id) ?? "";
    const next = focused === "bench-weight" || isNew ? "bench-weight" : focused;
    if (next?.startsWith("bench-")) document.getElementById(next)?.focus({ preventScroll: !isNew });
    this.count();
  }

  private current(row: Row, n: number): HTMLElement {
    const input = el("input", { id: "bench-weight", inputmode: "decimal", autocomplete: "off", "aria-label": `Weight of ${row.name} in grams`, enterkeyhint: "done" });
    const wrong = el("p", { class: "wrong", role: "alert" });
    const take = (written: string) => {
      const grams = reading(written);
      if (grams === null) {
        wrong.textContent = "Write the weight in grams, such as 8.02.";
        return input.focus();
      }
      this.chosen = undefined;
      input.value = "";
      this.text.replace(row.range, `${grams} g`);
    };
    input.addEventListener("keydown", (event) => {
      if (event.key === "Enter") take(input.value);
    });
    const { planned } = row;
    return el(
      "section",
      { class: "now", "aria-label": "To weigh now" },
      el("p", { class: "now-words" }, row.weighed === null ? "Weigh now" : "Weighed already"),
      el("p", { class: "now-name" }, row.name),
      el("p", { class: "now-grams" }, planned === null ? "" : `${planned} g`),
      row.lot !== null && el("p", { class: "now-lot" }, `Lot ${row.lot}`),
      row.weighed === null && planned !== null && button(`✓ Exactly ${planned} g`, () => take(planned), { class: "large tick", id: "bench-tick" }),
      el("p", { class: "now-read" }, input, el("span", { class: "unit" }, "g"), button("Weighed", () => take(input.value), { class: "large", id: "bench-take", "data-row": n })),
      wrong,
    );
  }

  private row(row: Row, n: number, isNow: boolean): HTMLElement {
    const sign = row.weighed === null ? (isNow ? "▸" : "○") : "✓";
    const words = row.weighed === null ? `${row.planned ?? "?"} g` : `${row.weighed} g`;
    const state = row.weighed === null ? "not weighed yet" : "weighed";
    return el(
      "li",
      { class: row.weighed === null ? "open" : "done", "aria-current": isNow ? "step" : undefined },
      el("button", { type: "button", class: "bench-row", id: `bench-row-${n}`, onclick: () => this.choose(n) }, el("span", { class: "sign", "aria-hidden": "true" }, sign), el("span", { class: "name" }, row.name), el("span", { class: "grams" }, words), el("span", { class: "visually-hidden" }, `, ${state}`)),
    );
  }

  private choose(n: number) {
    this.chosen = n;
    this.draw(true);
  }

  private log(state: BenchState): HTMLElement {
    return el(
      "section",
      { class: "bench-log", "aria-label": "Log" },
      el("h4", {}, "Log"),
      el("p", { class: "cool", id: "bench-cool" }),
      this.entry(state, "temperature", "Temperature, °C", (value) => `${value} °C`),
      this.entry(state, "ph", "pH", (value) => `pH ${value}`),
      this.next(state),
      this.entry(state, "yield", "Yield, g", (value) => `yield ${value} g`),
    );
  }

  private entry(state: BenchState, id: string, words: string, line: (value: string) => string): HTMLElement {
    const input = el("input", { id: `bench-${id}`, inputmode: "decimal", autocomplete: "off", enterkeyhint: "done" });
    const take = () => {
      const value = reading(input.value);
      if (value === null) return input.focus();
      input.value = "";
      this.addLog(state, line(value));
    };
    input.addEventListener("keydown", (event) => {
      if (event.key === "Enter") take();
    });
    return el("p", { class: "entry" }, el("label", { for: `bench-${id}` }, words), input, button("Write down", take, { class: "large", "aria-label": `Write down ${words}` }));
  }

  private next(_: BenchState): HTMLElement | null {
    const { dose, state } = this;
    if (dose === undefined || !state?.hasPh) return null;
    if (typeof dose === "string") return el("p", { class: "dose" }, `No dose: ${dose}`);
    const grams = dose.suggest_first_g ?? dose.add_g;
    if (dose.verdict === "on-target") return el("p", { class: "dose" }, `The pH is where it should be (${dose.target}).`);
    if (grams === undefined || dose.with === undefined) return el("p", { class: "dose" }, dose.caution.join(" ") || "Take a sample, and try on it first.");
    const expected = dose.expected_ph === undefined ? "" : ` The pH should then be about ${dose.expected_ph.toFixed(2)}.`;
    const words = `${grams} g ${dose.with}`;
    return el(
      "div",
      { class: "dose", role: "status" },
      el("p", {}, el("strong", {}, `Next dose: ${words}.`), expected, " Stir, then measure again."),
      ...dose.caution.map((caution) => el("p", { class: "caution" }, caution)),
      button(`✓ Added ${words}`, () => this.addLog(state, `add ${words}`), { class: "large" }),
    );
  }

  private addLog(state: BenchState, words: string) {
    this.text.addLog(state.logEnd, `  ${clock(nowMinutes())}  ${words}`);
    // The next line goes below this one, also before the core has read it.
    if (state.logEnd !== null) state.logEnd += 1;
  }

  /** The wait for the next phase, second by second. */
  private count() {
    const place = this.root.querySelector("#bench-cool");
    const cool = this.state?.cool;
    if (!place || !cool) return;
    const what = `${cool.phase} may go in at ${cool.celsius} °C`;
    if (cool.minutes === undefined) {
      place.textContent = `${what}: ${cool.unknown}`;
      return;
    }
    const left = Math.round((cool.minutes - nowMinutes()) * 60);
    const about = left > 0 ? `in about ${Math.floor(left / 60)} min ${two(left % 60)} s` : "by now; measure";
    place.textContent = `${what}: ${about} (${clock(cool.minutes)}, between ${clock(cool.earliest!)} and ${clock(cool.latest!)})`;
  }
}
