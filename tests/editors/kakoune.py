"""Drives a real Kakoune with kak-lsp and the kakrc that editors/kakoune/README.md tells to write, key by key."""

import subprocess
import sys
import time

from desk import ROOT, Desk, Terminal, blocks

desk = Desk()
config = desk.home / ".config/kak"
config.mkdir(parents=True)
(config / "kakrc").write_text(blocks("editors/kakoune/README.md", "kak")[0], encoding="utf-8")
kakoune = Terminal(desk, ["kak", "-s", "test", "hand-cream.formula"])
answer = desk.home / "answer"


def ask(value):
    """What Kakoune says a %val or %opt of the window is worth."""
    answer.unlink(missing_ok=True)
    said = f"evaluate-commands -client client0 %{{ echo -to-file '{answer}' -- {value} }}"
    subprocess.run(["kak", "-p", "test"], input=said, text=True, env=desk.environment, capture_output=True)
    for _ in range(60):
        if answer.exists():
            return answer.read_text(encoding="utf-8").strip()
        time.sleep(0.05)
    return ""


def command(text):
    kakoune.press("Escape")
    kakoune.type(":" + text)
    kakoune.press("Enter")


def text():
    kakoune.press("Escape")
    command("write")
    time.sleep(0.3)
    return desk.file.read_text(encoding="utf-8")


def line(words):
    return next((l for l in text().splitlines() if words in l), None)


desk.step("the file type is known", lambda: ask("%opt{filetype}"), lambda t: t == "formula")
desk.step("the server is started", desk.server_runs)
desk.step("a good formula draws no error", lambda: ask("%opt{lsp_diagnostic_error_count}"), lambda n: n == "0")
kakoune.type("/panthenol")
kakoune.press("Enter")
kakoune.type("ocrème 🧴 mix   1.2 %")
kakoune.press("Escape")
desk.step("a typed fault is shown", lambda: ask("%opt{lsp_diagnostic_error_count}"), lambda n: n == "1")
desk.step("a mark stands beside the row", kakoune.screen, lambda s: any(l.startswith("*") and "1.2 %" in l for l in s.splitlines()))
kakoune.type("gl")
command("lsp-hover")
desk.step("its message is shown", kakoune.screen, lambda s: "the EU allows 1 %" in s)
if len(sys.argv) > 1:
    with open(sys.argv[1], "w", encoding="utf-8") as out:
        out.write(kakoune.screen(colours=True))

# An edit to the right of é and emoji.
kakoune.press("Escape")
kakoune.type("/1\\.2 %")
kakoune.press("Enter")
kakoune.type("c1.1 %")
kakoune.press("Escape")


def hover():
    command("lsp-hover")
    time.sleep(0.5)
    return kakoune.screen()


desk.step("an edit behind é and 🧴 lands where it was typed", hover, lambda s: "1.1 % phenoxyethanol" in s)
kakoune.press("Escape")
kakoune.type("/1\\.1 %")
kakoune.press("Enter")
command("lsp-code-actions")
desk.step("the fixes are offered", kakoune.screen, lambda s: "Lower to 1 %" in s)
kakoune.press("Enter")
time.sleep(0.5)
kakoune.press("Enter")
desk.step("the fix is applied", lambda: line("crème 🧴 mix"), lambda l: l == "  crème 🧴 mix   1 %")
desk.step("and the fault is gone", lambda: ask("%opt{lsp_diagnostic_error_count}"), lambda n: n == "0")

# Hover, completion, formatting.
kakoune.type("/glycerin")
kakoune.press("Enter")
command("lsp-hover")
desk.step("hover shows the card", kakoune.screen, lambda s: "Glycerin" in s)
kakoune.press("Escape")
kakoune.type("/rapeseed")
kakoune.press("Enter")
kakoune.type("ojojob")
desk.step("completion offers the ingredient", kakoune.screen, lambda s: "jojoba oil" in s)
kakoune.press("C-n")
time.sleep(0.3)
desk.check("and writes its name", line("jojoba") is not None)
kakoune.type("xd")
before = line("xanthan gum")
kakoune.type("/xanthan gum +")
kakoune.press("Enter")
kakoune.type("cxanthan gum ")
desk.check("a row stands out of line", line("xanthan gum") != before)
command("lsp-formatting")
desk.step("formatting puts it back", lambda: line("xanthan gum"), lambda l: l == before)

subprocess.run(["kak", "-p", "test"], input="kill!", text=True, env=desk.environment, capture_output=True)
time.sleep(0.5)
desk.end()
