// The search of materials: words in, the best first; the card of one; "put in" writes its row.
import type { Core } from "../core/core";
import { button, el, field, later } from "./dom";

interface Found {
  id: string;
  name: string;
  inci?: string;
  roles: string[];
}

/** The card as `ingredient --format json` gives it; what is not known is absent. */
interface Card {
  id: string;
  inci?: string;
  names?: string[];
  cas?: string[];
  roles?: string[];
  phase?: string[];
  dissolves?: string;
  add_below_c?: number;
  use?: { product: string; low?: number; high?: number; source?: string }[];
  ph?: { works?: [number, number]; bears?: [number, number] };
  limits?: { market: string; scope?: string; max_percent?: number | string; as?: string }[];
  banned_in?: string[];
  cautions?: string[];
  sources?: { id: string; kind: string; title: string; where?: string }[];
}

export class Materials {
  readonly root: HTMLElement;
  private input = el("input", { type: "search", placeholder: "glycerin, mild surfactant …", autocomplete: "off", spellcheck: "false" });
  private list = el("ul", { class: "materials", "aria-label": "Found" });
  private card = el("article", { class: "card", "aria-live": "polite" });
  private turn = 0;

  constructor(
    private core: Core,
    private putIn: (name: string, percent: string) => void,
  ) {
    const search = later(120, () => void this.search());
    this.input.addEventListener("input", () => search());
    this.root = el("div", { class: "materials-view" }, field("Search materials", this.input), this.list, this.card);
  }

  focus() {
    this.input.focus();
  }

  private async search() {
    const words = this.input.value.trim().split(/\s+/).filter((word) => word !== "" && !word.startsWith("-"));
    const turn = ++this.turn;
    if (words.length === 0) return this.list.replaceChildren();
    const ran = await this.core.run(["find", "--json", "--", ...words]);
    if (turn !== this.turn) return;
    const found = ran.status === 0 ? (JSON.parse(ran.out) as { found: number; results: Found[] }) : { found: 0, results: [] };
    this.list.replaceChildren(
      ...found.results.map((one) =>
        el("li", {}, button(one.name, () => void this.show(one.name), { class: "material" }), el("span", { class: "inci" }, one.inci ?? ""), el("span", { class: "roles" }, one.roles.join(", "))),
      ),
    );
    if (found.results.length === 0) {
      const hint = ran.err.replace(/^phasewright: /, "").trim() || "Nothing is found.";
      this.list.replaceChildren(el("li", { class: "nothing" }, hint));
    }
  }

  private async show(name: string) {
    const ran = await this.core.run(["ingredient", "--json", "--", name]);
    if (ran.status !== 0) return this.card.replaceChildren(el("p", {}, ran.err));
    const card = JSON.parse(ran.out) as Card;
    const rows: [string, string[]][] = [
      ["On labels", card.inci ? [card.inci] : []],
      ["Also called", card.names?.filter((other) => other !== name) ?? []],
      ["What it does", card.roles ?? []],
      ["Goes into", card.phase ?? []],
      ["Add below", card.add_below_c === undefined ? [] : [`${card.add_below_c} °C`]],
      ["Usual", (card.use ?? []).map(({ product, low, high }) => `${product}: ${[low, high].filter((n) => n !== undefined).join(" to ")} %`)],
      ["pH it works at", card.ph?.works ? [card.ph.works.join(" to ")] : []],
      ["pH it bears", card.ph?.bears ? [card.ph.bears.join(" to ")] : []],
      ["Limits", (card.limits ?? []).map(({ market, scope, max_percent, as }) => `${market}${scope ? `, ${scope}` : ""}: ${max_percent ?? "see the law"}${max_percent === undefined ? "" : " %"}${as ? ` ${as}` : ""}`)],
      ["Banned in", card.banned_in ?? []],
      ["Take care", card.cautions ?? []],
      ["From", (card.sources ?? []).map(({ kind, title, where }) => `${title}${where ? `, ${where}` : ""} (${kind})`)],
    ];
    const usual = card.use?.[0];
    const percent = usual?.low ?? usual?.high;
    this.card.replaceChildren(
      el("h3", {}, name),
      button("Put in", () => this.putIn(name, percent === undefined ? "" : `${percent} %`), { class: "put-in" }),
      el("dl", {}, ...rows.filter(([, values]) => values.length > 0).flatMap(([words, values]) => [el("dt", {}, words), ...values.map((value) => el("dd", {}, value))])),
    );
    this.card.scrollIntoView({ block: "nearest" });
  }
}
