// A newcomer's way through the page at three sizes, with pictures for docs/pictures where --pictures is said.
import assert from "node:assert/strict";
import { readFile, stat } from "node:fs/promises";
import path from "node:path";
import { browser, fileServer, open, text } from "./chromium.mjs";
import { project } from "./core.mjs";

const SIZES = { desktop: { width: 1280, height: 800 }, tablet: { width: 768, height: 1024 }, phone: { width: 360, height: 740 } };
const PICTURED = { desktop: "warning", tablet: "sheet", phone: "bench" };
const pictures = process.argv.includes("--pictures");
const site = await fileServer();

for (const [size, viewport] of Object.entries(SIZES)) {
  const { context } = await browser({ viewport, hasTouch: size !== "desktop" });
  const page = await open(context, site.address);
  const pane = async (name) => {
    const one = page.locator(".panes").getByRole("button", { name });
    if (await one.isVisible()) await one.click();
  };
  const picture = async (what) => {
    if (!pictures || PICTURED[size] !== what) return;
    const file = path.join(project, `docs/pictures/page-${size}.png`);
    await page.screenshot({ path: file, clip: { x: 0, y: 0, width: viewport.width, height: size === "desktop" ? 620 : 740 } });
    assert.ok((await stat(file)).size < 150_000, `${file} is too large`);
  };
  const warning = page.locator(".finding", { hasText: "lavender oil gets to 75 °C" });

  // Starter and first warning, mended by one click.
  await warning.waitFor({ state: "attached" });
  await pane("Says");
  await warning.getByRole("button", { name: "Fix: Move to phase C" }).waitFor();
  await picture("warning");
  await warning.getByRole("button", { name: "Fix: Move to phase C" }).click();
  await warning.waitFor({ state: "detached" });

  // Scaled to 300 g, the weigh sheet printed.
  await page.getByRole("tab", { name: "Weigh sheet" }).click();
  await page.getByLabel("Make").fill("300 g");
  const sheet = page.frameLocator("iframe[title='Weigh sheet']");
  await sheet.getByText("300").first().waitFor();
  await picture("sheet");
  await page.evaluate(() => {
    const frame = document.querySelector("iframe[title='Weigh sheet']");
    frame.contentWindow.print = () => (window.printed = true);
  });
  await page.getByRole("button", { name: "Print" }).click();
  assert.equal(await page.evaluate(() => window.printed), true);

  // The label for two markets.
  await page.getByRole("tab", { name: "Label" }).click();
  await page.getByLabel("EU", { exact: true }).check();
  await page.getByLabel("CA", { exact: true }).check();
  await page.frameLocator("iframe[title='Label']").getByText("Canada").first().waitFor();

  // A batch begun, readings typed, the dose shown.
  await pane("Text");
  await page.getByRole("button", { name: "Begin a batch" }).click();
  await page.locator(".bench-row").first().waitFor();
  const rows = await page.locator(".bench-row").count();
  for (let n = 0; n < rows; n++) {
    await page.locator("#bench-tick").click();
    await page.locator(".progress", { hasText: `${n + 1} of ${rows} weighed` }).waitFor();
    if (n === 2) await picture("bench");
  }
  await page.getByText("All is weighed.").waitFor();
  for (const [id, value] of [["temperature", "72"], ["ph", "6.3"]]) {
    await page.locator(`#bench-${id}`).fill(value);
    await page.keyboard.press("Enter");
  }
  await page.locator(".dose").getByText("lactic acid").first().waitFor();
  assert.match(await text(page), /72 °C[^]*pH 6\.3/);

  // Exported.
  await page.getByRole("button", { name: "Where files live" }).click();
  const [zip] = await Promise.all([page.waitForEvent("download"), page.locator("#export").click()]);
  assert.ok((await readFile(await zip.path())).length > 500);
  assert.deepEqual(page.wrong, []);
  await context.close();
  console.log(`${size}: ${viewport.width} px, the whole way`);
}
site.close();
