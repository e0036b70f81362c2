// The first visit: four steps inside the starter, in a strip beside the text. Each is done by doing it; none of them is a dialog.
import { button, el } from "./dom";

const DONE = "phasewright-walk-done";

const STEPS = [
  "A warning waits in this cream. It is the first in the list below; click its line to see the place.",
  "Click “Fix” under it. The line is mended, and the warning is gone.",
  "Open “Weigh sheet” and make 300 g: write 300 g beside “Make”.",
  "Press “Begin a batch” above the text when you are ready to weigh. All files can be exported under “Where files live”.",
] as const;

export type Did = "went" | "mended" | "scaled" | "began";
const ORDER: Did[] = ["went", "mended", "scaled", "began"];

export class Walk {
  private step = 0;

  constructor(private root: HTMLElement) {}

  static isFirstVisit() {
    return localStorage.getItem(DONE) === null;
  }

  begin() {
    this.step = 0;
    this.draw();
  }

  /** What the maker has done; the strip goes on where it was this step or a later one. */
  did(what: Did) {
    if (this.root.hidden) return;
    const n = ORDER.indexOf(what);
    if (n < this.step) return;
    this.step = n + 1;
    if (this.step === STEPS.length) this.end();
    else this.draw();
  }

  private draw() {
    this.root.replaceChildren(
      el("p", { role: "status" }, el("strong", {}, `${this.step + 1} of ${STEPS.length}: `), STEPS[this.step]!),
      button("I can see to the rest myself", () => this.end(), { class: "quiet" }),
    );
    this.root.hidden = false;
  }

  private end() {
    localStorage.setItem(DONE, "1");
    this.root.hidden = true;
  }
}
