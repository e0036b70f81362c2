// What is wrong, in plain words, the gravest first. A click goes to the line, "Fix" mends, "Why" opens the rule's page.
import { button, el } from "./dom";
import { fromMarkdown } from "./markdown";
import type { CodeAction } from "./edits";
import type { Finding } from "./editor";

/** Each level has a sign and words of its own: colour is never the only sign. */
export const LEVELS = [
  { sign: "", words: "" },
  { sign: "✕", words: "Must change" },
  { sign: "!", words: "Look at this" },
  { sign: "i", words: "Good to know" },
  { sign: "·", words: "Hint" },
] as const;

export interface FindingsActions {
  goTo(finding: Finding): void;
  fixes(findings: Finding[]): Promise<(finding: Finding) => CodeAction[]>;
  mend(action: CodeAction, finding: Finding): void;
  explain(code: string): Promise<string>;
}

export function sorted(findings: Finding[]): Finding[] {
  return [...findings].sort((a, b) => a.severity - b.severity || a.range.start.line - b.range.start.line || a.range.start.character - b.range.start.character);
}

const nameOf = (finding: Finding) => `${finding.code}:${finding.range.start.line}:${finding.message}`;

/** The list keeps which pages are open while the text changes. */
export class FindingsList {
  readonly root = el("div", { class: "findings" });
  private open = new Set<string>();
  private turn = 0;

  constructor(private actions: FindingsActions) {}

  show(findings: Finding[]) {
    const turn = ++this.turn;
    const focused = (document.activeElement as HTMLElement | null)?.dataset?.finding;
    if (findings.length === 0) {
      this.root.replaceChildren(el("p", { class: "nothing" }, "Nothing to object to, as far as this knows. Local codes and licensed practice decide."));
      return;
    }
    const counts = LEVELS.map((level, n) => ({ words: level.words, n: findings.filter((finding) => finding.severity === n).length })).filter(({ n }) => n > 0);
    const sum = el("p", { class: "sum" }, counts.map(({ words, n }) => `${words}: ${n}`).join(" · "));
    const offers = sorted(findings).map((finding) => ({ finding, mend: el("span", { class: "mend" }) }));
    const list = el("ol", { class: "list" }, ...offers.map(({ finding, mend }) => this.item(finding, mend)));
    const offerAll = (of: (finding: Finding) => CodeAction[]) => {
      if (turn !== this.turn) return;
      for (const { finding, mend } of offers) this.offer(mend, finding, of(finding));
      if (focused?.startsWith("fix:")) this.focus(focused);
    };
    // The core is being started again, where it does not answer: the list is made again then.
    void this.actions.fixes(findings).then(offerAll, () => {});
    this.root.replaceChildren(sum, list);
    if (focused) this.focus(focused);
  }

  private focus(name: string) {
    this.root.querySelector<HTMLElement>(`[data-finding="${CSS.escape(name)}"]`)?.focus();
  }

  private item(finding: Finding, mend: HTMLElement): HTMLElement {
    const level = LEVELS[finding.severity];
    const name = nameOf(finding);
    const [first, ...rest] = finding.message.split("\n");
    const page = el("div", { class: "why-page" });
    const line = `Line ${finding.range.start.line + 1}`;
    const why = el("details", { class: "why", open: this.open.has(name) }, el("summary", {}, "Why"), page);
    why.addEventListener("toggle", () => {
      if (why.open) this.open.add(name);
      else this.open.delete(name);
      if (why.open && page.childNodes.length === 0) void this.fill(page, finding);
    });
    if (why.open) void this.fill(page, finding);
    return el(
      "li",
      { class: `finding level-${finding.severity}` },
      el("p", { class: "level" }, el("span", { class: "sign", "aria-hidden": "true" }, level.sign), level.words),
      el("p", { class: "what" }, first ?? ""),
      ...rest.filter((words) => words.trim() !== "").map((words) => el("p", { class: "more" }, words)),
      el(
        "p",
        { class: "do" },
        button(line, () => this.actions.goTo(finding), { class: "line", "data-finding": `line:${name}`, "aria-label": `${line}: ${first}` }),
        mend,
      ),
      why,
    );
  }

  private offer(mend: HTMLElement, finding: Finding, fixes: CodeAction[]) {
    const [first, ...others] = fixes;
    if (!first) return;
    const one = (action: CodeAction, words: string, more = {}) => button(words, () => this.actions.mend(action, finding), { class: "fix", ...more });
    mend.append(one(first, `Fix: ${first.title}`, { "data-finding": `fix:${nameOf(finding)}` }));
    if (others.length > 0) {
      mend.append(el("details", { class: "others" }, el("summary", {}, "Other ways"), ...others.map((action) => one(action, action.title))));
    }
  }

  private async fill(page: HTMLElement, finding: Finding) {
    const related = (finding.relatedInformation ?? []).map(({ message }) => el("p", {}, message));
    page.replaceChildren(...related);
    if (finding.code) page.append(fromMarkdown(await this.actions.explain(finding.code)));
  }
}
