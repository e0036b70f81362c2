// How quick the page is on a slow machine: Chromium with its processor slowed down four times. Prints what docs/speed.md holds.
//   node editors/page/bench.mjs [KEYS]
import { readFile } from "node:fs/promises";
import path from "node:path";
import { browser, fileServer } from "./tests/chromium.mjs";
import { project } from "./tests/core.mjs";

const THROTTLE = 4;
const keys = Number(process.argv[2] ?? 200);
const site = await fileServer();
const { context } = await browser();
const page = await context.newPage();
const devtools = await context.newCDPSession(page);
await devtools.send("Emulation.setCPUThrottlingRate", { rate: THROTTLE });
const start = performance.now();
await page.goto(site.address);
await page.locator(".finding").first().waitFor();
const cold = performance.now() - start;
const first = site.sent.bytes;

const sixty = await readFile(path.join(project, "benches/sixty.formula"), "utf8");
await page.evaluate((sixty) => window.phasewright.put("sixty.formula", sixty, null), sixty);
await page.getByRole("button", { name: "sixty.formula" }).click();
await page.waitForFunction(() => document.querySelectorAll(".finding").length > 0);
/** From a key that changes an amount to the frame after the findings are in the text. */
const times = await page.evaluate(async (keys) => {
  const { view } = window.phasewright;
  const at = view.state.doc.toString().search(/\d+(\.\d+)? %/);
  const times = [];
  for (let n = 0; n < keys; n++) {
    performance.clearMarks("phasewright-findings");
    const begun = performance.now();
    view.dispatch({ changes: { from: at, to: at + 1, insert: String(1 + (n % 9)) } });
    while (performance.getEntriesByName("phasewright-findings").length === 0) await new Promise((wait) => setTimeout(wait));
    await new Promise((frame) => requestAnimationFrame(() => setTimeout(frame)));
    times.push(performance.now() - begun);
    await new Promise((rest) => setTimeout(rest, 150));
  }
  return times.sort((a, b) => a - b);
}, keys);
const share = (part) => times[Math.min(times.length - 1, Math.floor(times.length * part))].toFixed(1);
console.log(`${THROTTLE}x throttle: first finding after ${(cold / 1000).toFixed(1)} s; ${(first / 1e6).toFixed(2)} MB fetched, gzipped`);
console.log(`60 lines, key to finding on screen, ${times.length} keys: p50 ${share(0.5)} ms, p99 ${share(0.99)} ms`);
await context.close();
site.close();
