// The beginning: which home, the core, the page.
import { Core } from "./core/core";
import { browserHome } from "./homes/handles";
import { ServedHome } from "./homes/served";
import { App } from "./ui/app";
import { byId } from "./ui/dom";
import { showPane } from "./ui/frame";

const here = new URL(".", import.meta.url);

async function start() {
  appearance();
  const served = await ServedHome.find();
  const browser = served ? undefined : await browserHome();
  const core = new Core(new URL("worker.js", here).href, new URL("core.wasm.xz", here).href);
  const app = new App(core, served ?? browser!, browser);
  // For the tests, and for whoever looks in with the browser's tools.
  Object.assign(window, { phasewright: app });
  byId("show-places").addEventListener("click", () => app.showPlaces());
  for (const one of document.querySelectorAll<HTMLElement>(".panes [data-pane]")) one.addEventListener("click", () => showPane(one.dataset.pane!));
  await app.start();
  document.body.dataset.ready = "";
  if (!served && "serviceWorker" in navigator) await navigator.serviceWorker.register(new URL("offline.js", here), { scope: here.pathname });
  void navigator.storage?.persist?.();
}

/** Size of the text and ground, as chosen before. */
function appearance() {
  const sizes = ["100%", "150%", "200%"];
  const root = document.documentElement;
  const size = () => Number(localStorage.getItem("phasewright-size") ?? "0");
  const set = (n: number) => {
    root.style.fontSize = sizes[n] ?? "100%";
    localStorage.setItem("phasewright-size", String(n));
  };
  set(size());
  byId("text-size").addEventListener("click", () => set((size() + 1) % sizes.length));
  const ground = localStorage.getItem("phasewright-ground");
  if (ground) root.dataset.ground = ground;
  byId("ground").addEventListener("click", () => {
    const isDark = root.dataset.ground ? root.dataset.ground === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
    root.dataset.ground = isDark ? "light" : "dark";
    localStorage.setItem("phasewright-ground", root.dataset.ground);
  });
}

start().catch((error: unknown) => {
  const words = error instanceof Error ? error.message : String(error);
  byId("news").textContent = `The page cannot start: ${words}`;
});
