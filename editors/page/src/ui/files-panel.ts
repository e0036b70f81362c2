// The files, by what they are, with a search; a new formula from a starter.
import { button, el, field } from "./dom";
import { STARTERS, type Starter } from "./starters";

export interface FilesActions {
  open(path: string): void;
  begin(starter: Starter, name: string): void;
}

const GROUPS: [string, (path: string) => boolean][] = [
  ["Formulas", (path) => path.endsWith(".formula")],
  ["Batches", (path) => path.endsWith(".batch")],
  ["Shelf", (path) => path.endsWith(".stock")],
  ["Settings and own ingredients", (path) => path.endsWith(".toml")],
];

export class FilesPanel {
  private search = el("input", { type: "search", autocomplete: "off", spellcheck: "false" });
  private lists = el("div", { class: "lists" });
  private name = el("input", { type: "text", required: true, autocomplete: "off" });
  private kind = el("select", {}, ...STARTERS.map(({ kind }, n) => el("option", { value: n }, kind)));
  private files: { path: string; text: string }[] = [];
  private current: string | undefined;

  constructor(
    root: HTMLElement,
    private actions: FilesActions,
  ) {
    this.search.addEventListener("input", () => this.draw());
    const form = el("form", { class: "new" }, field("Kind of product", this.kind), field("Name", this.name), el("button", { type: "submit" }, "Begin"));
    const box = el("details", { class: "new-box" }, el("summary", {}, "New formula"), form);
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const starter = STARTERS[Number(this.kind.value)]!;
      actions.begin(starter, this.name.value.trim() || starter.kind);
      this.name.value = "";
      box.open = false;
    });
    root.replaceChildren(box, field("Search files", this.search), this.lists);
  }

  show(files: Map<string, string>, current: string | undefined) {
    this.files = [...files].map(([path, text]) => ({ path, text })).sort((a, b) => a.path.localeCompare(b.path));
    this.current = current;
    this.draw();
  }

  private draw() {
    const words = this.search.value.toLowerCase().split(/\s+/).filter((word) => word !== "");
    const found = this.files.filter(({ path, text }) => words.every((word) => path.toLowerCase().includes(word) || text.toLowerCase().includes(word)));
    const groups = GROUPS.map(([title, belongs]) => ({ title, paths: found.filter(({ path }) => belongs(path)).map(({ path }) => path) }));
    this.lists.replaceChildren(
      ...groups
        .filter(({ paths }) => paths.length > 0)
        .map(({ title, paths }) =>
          el("section", {}, el("h2", {}, title), el("ul", {}, ...paths.map((path) => el("li", {}, button(path, () => this.actions.open(path), { class: "file", "aria-current": path === this.current ? "page" : undefined }))))),
        ),
    );
    if (found.length === 0) this.lists.replaceChildren(el("p", { class: "nothing" }, words.length > 0 ? "No file holds these words." : "No files yet."));
  }
}
