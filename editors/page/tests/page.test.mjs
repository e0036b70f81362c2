// The page as a maker uses it, in a real Chromium.
import assert from "node:assert/strict";
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { after, before, test } from "node:test";
import { browser, fileServer, findings, inBrowser, open, text, typeAtEnd } from "./chromium.mjs";

const FIRST = "my-first-cream.formula";
let site;
before(async () => (site = await fileServer()));
after(() => site.close());

/** A page of a browser of its own. */
async function visit(work, options) {
  const { context } = await browser(options);
  try {
    const page = await open(context, site.address);
    await work(page, context);
    assert.deepEqual(page.wrong, []);
  } finally {
    await context.close();
  }
}

const warning = (page) => page.locator(".finding", { hasText: "lavender oil gets to 75 °C" });

async function axe(page) {
  await page.evaluate(await readFile(createRequire(import.meta.url).resolve("axe-core"), "utf8"));
  const { violations, passes } = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
  assert.ok(passes.length > 10);
  return violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html, failureSummary }) => `${html.slice(0, 160)} ${failureSummary}`).join(" | ")}`);
}

test("the first visit: a warning waits, one click mends it, nothing is asked of the network", async () => {
  await visit(async (page) => {
    await warning(page).waitFor();
    await page.locator(".walk").getByText("1 of 4").waitFor();
    await warning(page).getByRole("button", { name: /^Line/ }).click();
    await page.locator(".walk").getByText("2 of 4").waitFor();
    await warning(page).getByRole("button", { name: "Fix: Move to phase C" }).click();
    await warning(page).waitFor({ state: "detached" });
    await page.locator(".walk").getByText("3 of 4").waitFor();
    assert.match(await text(page), /phase C[^]*lavender oil +0\.2 %[^]*phase D/);
    await page.getByText("Kept", { exact: true }).waitFor();
    assert.equal(await inBrowser(page, FIRST), await text(page));
    const strangers = page.asked.filter((address) => !address.startsWith(site.address) && !address.startsWith("data:"));
    assert.deepEqual(strangers, []);
  });
});

test("from scaling to the batch at the bench: papers, readings, dose", async () => {
  await visit(async (page) => {
    await page.getByRole("tab", { name: "Weigh sheet" }).click();
    await page.getByLabel("Make").fill("300 g");
    const sheet = page.frameLocator("iframe[title='Weigh sheet']");
    await sheet.getByText("300").first().waitFor();
    await page.getByRole("tab", { name: "Label" }).click();
    await page.getByLabel("EU", { exact: true }).check();
    await page.getByLabel("CA", { exact: true }).check();
    await page.frameLocator("iframe[title='Label']").getByText("Canada").first().waitFor();
    await page.getByRole("button", { name: "Begin a batch" }).click();
    await page.locator(".progress", { hasText: "0 of 10 weighed" }).waitFor();
    await page.locator("#bench-tick").click();
    await page.locator(".progress", { hasText: "1 of 10 weighed" }).waitFor();
    await page.locator("#bench-weight").fill("9,02");
    await page.keyboard.press("Enter");
    await page.locator(".progress", { hasText: "2 of 10 weighed" }).waitFor();
    assert.match(await text(page), /\n  glycerin +9\.02 g of 9(\.00)? g/);
    await page.locator("#bench-weight").fill("much");
    await page.locator("#bench-take").click();
    await page.getByText("Write the weight in grams").waitFor();
    await page.locator("#bench-ph").fill("6.2");
    await page.keyboard.press("Enter");
    await page.locator(".dose").getByText("lactic acid").first().waitFor();
    assert.match(await text(page), /log\n {2}\d\d:\d\d {2}pH 6\.2\n/);
  });
});

test("the search finds a material, shows its card and puts it in; a rule is explained beside its finding", async () => {
  await visit(async (page) => {
    await warning(page).locator("summary", { hasText: "Why" }).last().click();
    await warning(page).getByText("What to do").waitFor();
    await page.getByRole("tab", { name: "Materials" }).click();
    await page.getByLabel("Search materials").fill("squalane");
    await page.getByRole("button", { name: "squalane", exact: true }).click();
    await page.locator(".card").getByText("Squalane").first().waitFor();
    await page.getByRole("button", { name: "Put in" }).click();
    assert.match(await text(page), /\n {2}squalane {2,}/);
  });
});

test("a new formula begins from a starter, and all of them export and come back", async () => {
  await visit(async (page) => {
    await page.getByText("New formula").click();
    await page.getByLabel("Kind of product").selectOption("Shampoo");
    await page.getByLabel("Name").fill("Sea <b>shampoo</b>");
    await page.getByRole("button", { name: "Begin", exact: true }).click();
    await page.getByRole("heading", { name: "sea-b-shampoo-b.formula" }).waitFor();
    assert.match(await text(page), /^formula "Sea <b>shampoo<\/b>"/);
    await page.getByRole("button", { name: "Where files live" }).click();
    const [down] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name: "Export all as a zip" }).click()]);
    const zip = await down.path();
    await page.locator("#import-file").setInputFiles({ name: "all.zip", mimeType: "application/zip", buffer: await readFile(zip) });
    await page.getByText("2 files are in.").waitFor();
  });
});

test("what is typed is back after the page was killed at once", async () => {
  const { context, profile } = await browser();
  const page = await open(context, site.address);
  await warning(page).waitFor();
  // The disk takes nothing any more, as when the power is cut in mid-write: what is begun is never closed.
  await page.evaluate(() => (FileSystemWritableFileStream.prototype.close = () => new Promise(() => {})));
  const before = await inBrowser(page, FIRST);
  await typeAtEnd(page, "\n# not a letter is lost: é 🧴");
  const typed = await text(page);
  await page.waitForTimeout(600);
  assert.equal(await inBrowser(page, FIRST), before, "whole or not at all");
  const crash = page.waitForEvent("crash");
  await page.goto("chrome://crash").catch(() => {});
  await crash;
  await context.close();
  const again = await browser({ profile });
  const back = await open(again.context, site.address);
  await back.getByText("what was typed and not yet written").waitFor();
  assert.equal(await text(back), typed);
  assert.equal(await inBrowser(back, FIRST), typed);
  await again.context.close();
});

test("two windows on one file: one follows the other, and where both typed, both texts are shown", async () => {
  await visit(async (one, context) => {
    const two = await open(context, site.address);
    await typeAtEnd(one, "\n# from the first");
    await two.waitForFunction(() => window.phasewright.view.state.doc.toString().endsWith("# from the first"));
    // The second types while the first writes.
    await Promise.all([typeAtEnd(one, "\n# one more"), typeAtEnd(two, "\n# another")]);
    const late = await Promise.race([one, two].map((page) => page.getByText("Two texts of one file").waitFor().then(() => page)));
    const early = late === one ? two : one;
    const [mine, theirs] = [late === one ? "# one more" : "# another", late === one ? "# another" : "# one more"];
    const merge = late.locator(".merge");
    await merge.getByText(mine).first().waitFor();
    await merge.getByText(theirs).first().waitFor();
    assert.ok((await inBrowser(late, FIRST)).endsWith(theirs));
    await late.getByRole("button", { name: "Keep both as two files" }).click();
    await late.getByRole("button", { name: "my-first-cream-mine-1.formula" }).waitFor();
    assert.ok((await inBrowser(late, "my-first-cream-mine-1.formula")).endsWith(mine));
    assert.ok((await text(early)).endsWith(theirs));
    assert.deepEqual(two.wrong, []);
  });
});

test("the worker is killed: the checks come back, and nothing typed is lost", async () => {
  await visit(async (page) => {
    await warning(page).waitFor();
    await page.evaluate(() => window.phasewright.core.kill());
    await typeAtEnd(page, "\nphase E below 40 °C\n  no such thing  1 %\n");
    await page.locator(".finding", { hasText: "no such thing" }).waitFor();
    assert.match(await text(page), /no such thing {2}1 %\n$/);
    assert.equal(page.wrong.length, 0);
  });
});

test("a full disk is said, the text stays, and it is written when there is room", async () => {
  await visit(async (page, context) => {
    await warning(page).waitFor();
    const devtools = await context.newCDPSession(page);
    const { origin } = new URL(site.address);
    await devtools.send("Storage.overrideQuotaForOrigin", { origin, quotaSize: 1 });
    await typeAtEnd(page, "\n# typed on a full disk");
    await page.getByText("could not be written").waitFor();
    await page.getByText("Kept in the journal").waitFor();
    await devtools.send("Storage.overrideQuotaForOrigin", { origin });
    await page.getByText("Kept", { exact: true }).waitFor({ timeout: 30_000 });
    assert.ok((await inBrowser(page, FIRST)).endsWith("# typed on a full disk"));
  });
});

test("after the first visit it works without a network, the bench too", async () => {
  await visit(async (page, context) => {
    await page.evaluate(() => navigator.serviceWorker.ready);
    await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
    await context.setOffline(true);
    await page.reload();
    await page.waitForSelector("body[data-ready]");
    await warning(page).waitFor();
    await page.getByRole("button", { name: "Begin a batch" }).click();
    await page.locator("#bench-tick").click();
    await page.locator(".progress", { hasText: "1 of 10 weighed" }).waitFor();
    await context.setOffline(false);
  });
});

test("names and texts that mean harm are shown as text", async () => {
  await visit(async (page) => {
    const name = "<img src=x onerror=window.harmed=1>.formula";
    const harm = 'formula "</title><script>window.harmed=1</script><img src=x onerror=window.harmed=1>"\n\nphase A\n  <img src=x onerror="window.harmed=1">  50 %\n  water  50 %\n';
    await page.evaluate(([name, harm]) => window.phasewright.put(name, harm, null), [name, harm]);
    await page.getByRole("button", { name }).click();
    await page.locator(".finding").first().waitFor();
    for (const tab of ["Weigh sheet", "Label", "Card"]) {
      await page.getByRole("tab", { name: tab }).click();
      await page.locator("iframe.paper, .hindered").first().waitFor();
    }
    await page.waitForTimeout(300);
    assert.equal(await page.evaluate(() => window.harmed), undefined);
    assert.equal(await page.locator("#files img, .says img").count(), 0);
  });
});

for (const colorScheme of ["light", "dark"]) {
  test(`axe finds nothing, ${colorScheme}`, async () => {
    await visit(
      async (page) => {
        await warning(page).waitFor();
        assert.deepEqual(await axe(page), []);
        await page.getByRole("tab", { name: "Materials" }).click();
        await page.getByLabel("Search materials").fill("glycerin");
        await page.getByRole("button", { name: "glycerin", exact: true }).click();
        await page.locator(".card h3").waitFor();
        assert.deepEqual(await axe(page), []);
        await page.getByRole("button", { name: "Where files live" }).click();
        assert.deepEqual(await axe(page), []);
        await page.getByRole("button", { name: "Begin a batch" }).click();
        await page.locator("#bench-tick").click();
        await page.locator(".progress", { hasText: "1 of 10 weighed" }).waitFor();
        assert.deepEqual(await axe(page), []);
      },
      { colorScheme },
    );
  });
}

for (const width of [360, 768, 1280]) {
  test(`nothing overflows at ${width} px, nor with the text doubled`, async () => {
    await visit(
      async (page) => {
        await page.waitForSelector(".finding", { state: "attached" });
        const check = async (what) => {
          const over = await page.evaluate(() => {
            const wide = [...document.querySelectorAll("body *")].filter((one) => one.getClientRects().length > 0 && !one.closest(".cm-editor, .merge, pre") && one.getBoundingClientRect().right > innerWidth + 1);
            return wide.map((one) => `${one.tagName}.${one.className} ${one.textContent.slice(0, 40)}`);
          });
          assert.deepEqual(over, [], what);
        };
        const tour = async (what) => {
          for (const pane of ["Files", "Text", "Says"]) {
            const one = page.locator(".panes").getByRole("button", { name: pane });
            if (await one.isVisible()) await one.click();
            await check(`${what}, ${pane}`);
          }
        };
        await tour("as it is");
        if (await page.locator(".panes").isVisible()) await page.locator(".panes").getByRole("button", { name: "Text" }).click();
        await page.getByRole("button", { name: "Begin a batch" }).click();
        await page.locator("#bench-tick").waitFor();
        await check("bench");
        const tick = await page.locator("#bench-tick").boundingBox();
        assert.ok(tick.height >= 48, `${tick.height}`);
        await page.getByRole("button", { name: "Text size" }).click();
        await page.getByRole("button", { name: "Text size" }).click();
        assert.equal(await page.evaluate(() => getComputedStyle(document.documentElement).fontSize), "32px");
        await check("bench, doubled");
        await tour("doubled");
      },
      { viewport: { width, height: 800 } },
    );
  });
}

test("the keyboard alone suffices", async () => {
  await visit(async (page) => {
    await warning(page).waitFor();
    const focusOn = async (found) => {
      for (let n = 0; n < 120; n++) {
        await page.keyboard.press("Tab");
        const words = await page.evaluate(() => {
          const one = document.activeElement;
          return one?.matches("button, summary") ? one.textContent : "";
        });
        if (found.test(words)) return;
      }
      assert.fail(`no way with Tab to ${found}`);
    };
    await focusOn(/Fix: Move to phase C/);
    await page.keyboard.press("Enter");
    await warning(page).waitFor({ state: "detached" });
    await focusOn(/^ ?Check$/);
    await page.keyboard.press("ArrowRight");
    await page.locator("iframe[title='Weigh sheet']").waitFor();
    await focusOn(/Begin a batch/);
    await page.keyboard.press("Enter");
    await page.locator(".progress", { hasText: "0 of 10 weighed" }).waitFor();
    await page.keyboard.type("224.1");
    await page.keyboard.press("Enter");
    await page.locator(".progress", { hasText: "1 of 10 weighed" }).waitFor();
    assert.ok((await findings(page)).length >= 0);
  });
});
