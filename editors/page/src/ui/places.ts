// Where files live: this browser, a folder, out and in as a zip. With a word on what that means for the maker.
import { canOpenFolders } from "../homes/handles";
import type { Home } from "../homes/home";
import { packed, unpacked } from "../homes/zip";
import { button, download, el } from "./dom";

const EXPORTED = "phasewright-exported";
const REMIND_AFTER_DAYS = 14;
const DAY = 24 * 60 * 60 * 1000;

export interface PlacesActions {
  home(): Home;
  files(): Map<string, string>;
  takeIn(files: Map<string, string>, leftOut: string[]): void;
  openFolder(): void;
  backToBrowser(): void;
  tryWorkshop?: () => void;
}

/** Whether files that live in this browser only have not been exported for long. */
export function isExportDue(home: Home, files: number): boolean {
  if (home.kind !== "browser" || files < 2) return false;
  const last = Number(localStorage.getItem(EXPORTED) ?? "0");
  if (last === 0) localStorage.setItem(EXPORTED, String(Date.now() - (REMIND_AFTER_DAYS - 3) * DAY));
  return last !== 0 && Date.now() - last > REMIND_AFTER_DAYS * DAY;
}

export function exportAll(files: Map<string, string>) {
  const day = new Date().toISOString().slice(0, 10);
  download(`phasewright-${day}.zip`, packed(files) as BlobPart, "application/zip");
  localStorage.setItem(EXPORTED, String(Date.now()));
}

export function placesPanel(actions: PlacesActions): HTMLElement {
  const home = actions.home();
  const input = el("input", { type: "file", accept: ".zip,.formula,.batch,.stock,.toml", multiple: true, class: "visually-hidden", id: "import-file" });
  input.addEventListener("change", () => void takeIn(input, actions));
  const words = {
    browser: "Your files live in this browser, on this machine only. Clearing the browser's data takes them away: export them now and then.",
    folder: `Your files live in the folder ${home.name}.`,
    served: `Your files live in the folder ${home.name}, which phasewright open serves to this machine only.`,
  }[home.kind];
  return el(
    "div",
    { class: "places" },
    el("h3", {}, "Where files live"),
    el("p", {}, words),
    el(
      "p",
      { class: "choices" },
      button("Export all as a zip", () => exportAll(actions.files()), { id: "export" }),
      el("label", { class: "like-button", for: "import-file" }, "Import a zip or files"),
      input,
      home.kind === "browser" && canOpenFolders() && button("Open a folder", actions.openFolder),
      home.kind === "folder" && button("Back to this browser's files", actions.backToBrowser),
    ),
    home.kind === "browser" && !canOpenFolders() && el("p", { class: "note" }, "This browser cannot open folders. On your own machine, phasewright open FOLDER does."),
  );
}

async function takeIn(input: HTMLInputElement, actions: PlacesActions) {
  const files = new Map<string, string>();
  const leftOut: string[] = [];
  for (const file of input.files ?? []) {
    try {
      if (!file.name.endsWith(".zip")) {
        files.set(file.name, await file.text());
        continue;
      }
      const found = unpacked(new Uint8Array(await file.arrayBuffer()));
      found.files.forEach((text, path) => files.set(path, text));
      leftOut.push(...found.leftOut);
    } catch {
      leftOut.push(file.name);
    }
  }
  input.value = "";
  actions.takeIn(files, leftOut);
}
