// The frame around the parts: news on top, and which part is seen where there is room for one.
import { button, byId, el } from "./dom";

/** A line of news on top; the next one of the same kind replaces it, an empty one takes it away. */
export function say(words: string, kind: string, ...more: HTMLElement[]) {
  const place = byId("news");
  place.querySelector(`[data-kind="${kind}"]`)?.remove();
  if (words === "") return;
  const line = el("p", { "data-kind": kind }, words, ...more);
  line.append(button("Close", () => line.remove(), { class: "quiet" }));
  place.append(line);
}

export function showPane(name: string) {
  document.body.dataset.pane = name;
  for (const one of document.querySelectorAll<HTMLElement>(".panes [data-pane]")) one.setAttribute("aria-pressed", String(one.dataset.pane === name));
}
