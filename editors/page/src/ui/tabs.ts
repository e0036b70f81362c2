// Tabs as the guidance of ARIA has them: arrows move between them, one panel below.
import { el } from "./dom";

export interface Tab {
  id: string;
  title: string;
}

export class Tabs {
  current = "findings";
  private tabs: Tab[] = [];

  constructor(
    private bar: HTMLElement,
    private panel: HTMLElement,
    private content: (id: string) => HTMLElement,
  ) {
    bar.addEventListener("keydown", (event) => {
      const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
      if (step === undefined) return;
      event.preventDefault();
      const n = this.tabs.findIndex(({ id }) => id === this.current);
      const next = this.tabs[(n + step + this.tabs.length) % this.tabs.length];
      if (next) this.select(next.id, true);
    });
  }

  offer(tabs: Tab[]) {
    this.tabs = tabs;
    this.select(tabs.some(({ id }) => id === this.current) ? this.current : tabs[0]!.id);
  }

  /** Something that is not one of the tabs. */
  showOther(content: HTMLElement) {
    this.draw("");
    this.panel.replaceChildren(content);
  }

  select(id: string, focus = false) {
    this.current = id;
    this.draw(id);
    this.panel.replaceChildren(this.content(id));
    if (focus) this.bar.querySelector<HTMLElement>("[aria-selected=true]")?.focus();
  }

  private draw(selected: string) {
    const first = selected === "" ? this.tabs[0]?.id : selected;
    this.bar.replaceChildren(
      ...this.tabs.map(({ id, title }) =>
        el("button", { type: "button", role: "tab", id: `tab-${id}`, "aria-controls": "panel", "aria-selected": String(id === selected), tabindex: id === first ? 0 : -1, onclick: () => this.select(id) }, title),
      ),
    );
    if (selected !== "") this.panel.setAttribute("aria-labelledby", `tab-${selected}`);
    else this.panel.removeAttribute("aria-labelledby");
  }
}
