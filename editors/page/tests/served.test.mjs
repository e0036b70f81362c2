// The page on a folder that `phasewright open` serves: another program writes there too.
import assert from "node:assert/strict";
import { mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";
import { test } from "node:test";
import { browser, open, served, text, typeAtEnd } from "./chromium.mjs";
import { project } from "./core.mjs";

const program = process.env.PHASEWRIGHT ?? path.join(project, "target/debug/phasewright");
const BALM = 'formula "Balm"\n  product: lip balm, leave-on\n\nphase A at 70 °C\n  castor oil  80 %\n  beeswax  20 %\n';

async function visit(work) {
  const folder = mkdtempSync(path.join(tmpdir(), "phasewright-folder-"));
  const file = path.join(folder, "balm.formula");
  writeFileSync(file, BALM);
  const site = await served(folder, program);
  const { context } = await browser();
  try {
    const page = await open(context, site.address);
    await page.getByRole("heading", { name: "balm.formula" }).waitFor();
    await work(page, file);
    assert.deepEqual(page.wrong.filter((words) => !words.includes("412")), []);
  } finally {
    await context.close();
    site.close();
  }
}

const saved = (page, file, words) => page.waitForFunction(() => document.querySelector("#kept").textContent === "Kept").then(() => assert.ok(readFileSync(file, "utf8").includes(words)));

test("what is typed is in the file", async () => {
  await visit(async (page, file) => {
    await typeAtEnd(page, "# typed in the page\n");
    await page.waitForFunction(() => document.querySelector("#kept").textContent === "Kept");
    await saved(page, file, "# typed in the page");
  });
});

test("another program's change is shown, and never overwritten", async () => {
  await visit(async (page, file) => {
    writeFileSync(file, `${BALM}# by another program\n`);
    await page.waitForFunction(() => window.phasewright.view.state.doc.toString().includes("# by another program"));
    // Both at once: the page is held back from seeing the other's change first.
    await typeAtEnd(page, "# mine\n");
    writeFileSync(file, `${BALM}# by another program, again\n`);
    await page.getByText("Two texts of one file").waitFor();
    assert.equal(readFileSync(file, "utf8"), `${BALM}# by another program, again\n`);
    await page.locator(".merge").getByText("# mine").first().waitFor();
    await page.locator(".merge").getByText("again").first().waitFor();
    await page.getByRole("button", { name: "Keep mine" }).click();
    await page.waitForFunction(() => document.querySelector("#kept").textContent === "Kept");
    assert.match(readFileSync(file, "utf8"), /# mine\n$/);
    assert.match(await text(page), /# mine\n$/);
  });
});
