// The papers about the open formula: weigh sheet, label, card, cost, comparison. Each is the program's own page, in a frame without scripts.
import type { Core } from "../core/core";
import { button, el, field, later } from "./dom";

export interface Subject {
  path: string;
  text: string;
  /** The text that a comparison begins from, and what it is called. */
  before: { words: string; text: string };
  /** Other formulas that it can be compared with. */
  others: string[];
}

export interface PaperKind {
  id: string;
  title: string;
}

export const PAPERS: PaperKind[] = [
  { id: "sheet", title: "Weigh sheet" },
  { id: "label", title: "Label" },
  { id: "card", title: "Card" },
  { id: "cost", title: "Cost" },
  { id: "compare", title: "Compare" },
];

const MARKETS = ["EU", "UK", "US", "CA"];
/** The earlier text lies here while it is compared. */
const BEFORE = ".before/";

export class PaperView {
  readonly root = el("div", { class: "paper-view" });
  private frame: HTMLIFrameElement | undefined;
  private turn = 0;
  private batch = el("input", { type: "text", placeholder: "as written", size: 8, inputmode: "text", autocomplete: "off" });
  private markets = MARKETS.map((market) => el("input", { type: "checkbox", value: market }));
  private other = el("select", {});
  private again = later(250, () => void this.make());
  private subject: Subject | undefined;

  constructor(
    private core: Core,
    private kind: PaperKind,
  ) {
    for (const input of [this.batch, ...this.markets, this.other]) input.addEventListener("input", () => this.again());
    this.root.append(el("div", { class: "paper-tools" }, ...this.tools(), button("Print", () => this.print(), { class: "print" })));
  }

  private tools(): HTMLElement[] {
    switch (this.kind.id) {
      case "sheet":
      case "cost":
        return [field("Make", this.batch)];
      case "label": {
        const boxes = this.markets.map((input) => el("label", { class: "market" }, input, input.value));
        return [el("fieldset", { class: "markets" }, el("legend", {}, "For"), ...boxes)];
      }
      case "compare":
        return [field("With", this.other)];
      default:
        return [];
    }
  }

  show(subject: Subject) {
    this.subject = subject;
    if (this.kind.id === "compare") this.offer(subject);
    if (this.frame) this.again();
    else void this.make();
  }

  private offer(subject: Subject) {
    const chosen = this.other.value;
    this.other.replaceChildren(el("option", { value: "" }, subject.before.words), ...subject.others.map((path) => el("option", { value: path }, path)));
    if (subject.others.includes(chosen)) this.other.value = chosen;
  }

  private arguments(subject: Subject): { args: string[]; files: [string, string][] } {
    const { id } = this.kind;
    const end = ["--format", "html"];
    if (id === "compare") {
      const before = this.other.value;
      if (before !== "") return { args: [id, before, subject.path, ...end], files: [] };
      const path = BEFORE + subject.path.split("/").pop()!;
      return { args: [id, path, subject.path, ...end], files: [[path, subject.before.text]] };
    }
    const batch = this.batch.value.trim();
    const markets = this.markets.filter(({ checked }) => checked).map(({ value }) => value);
    const more = batch === "" ? [] : ["--batch", batch];
    if (id === "label" && markets.length > 0) more.push("--market", markets.join(","));
    return { args: [id, subject.path, ...more, ...end], files: [] };
  }

  private async make() {
    const { subject } = this;
    if (!subject) return;
    const turn = ++this.turn;
    const { args, files } = this.arguments(subject);
    let html = "";
    let err = "";
    try {
      const ran = await this.core.run(args, files);
      html = ran.out;
      err = ran.err;
    } catch (error) {
      err = String(error);
    }
    if (turn !== this.turn) return;
    this.root.querySelector(".hindered")?.remove();
    if (!html.startsWith("<!DOCTYPE html>")) {
      this.frame?.remove();
      this.frame = undefined;
      const words = err.replace(/^phasewright: /gm, "").replace(/^error: /gm, "").trim();
      this.root.append(el("p", { class: "hindered" }, `No ${this.kind.title.toLowerCase()} yet. ${words}`));
      return;
    }
    if (!this.frame) {
      this.frame = el("iframe", { class: "paper", title: this.kind.title, sandbox: "allow-same-origin allow-modals" });
      this.root.append(this.frame);
    }
    this.frame.srcdoc = html;
  }

  private print() {
    this.frame?.contentWindow?.print();
  }
}
