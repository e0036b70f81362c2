// Debian's Chromium, and what the editors in it share.
import { chromium } from "playwright-core";
import { existsSync } from "node:fs";

const AT = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

export function browser() {
  const executablePath = process.env.PHASEWRIGHT_CHROMIUM ?? AT.find(existsSync);
  if (!executablePath) throw new Error("there is no Chromium; install it with: apt-get install chromium");
  return chromium.launch({ executablePath, args: ["--no-sandbox", "--disable-gpu"] });
}

/** A key of the keyboard by its name; any other text is put in as an input method does it. */
export function press(page, key) {
  return key.length === 1 && (key < " " || key > "~") ? page.keyboard.insertText(key) : page.keyboard.press(key);
}
