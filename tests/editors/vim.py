"""Drives a real Vim with ALE and the vimrc that editors/vim/README.md tells to write, key by key."""

import json
import sys
import time

from desk import ROOT, Desk, Terminal, blocks

desk = Desk()
(desk.home / ".vimrc").write_text(blocks("editors/vim/README.md", "vim")[0] + "set nocompatible noswapfile hidden nomore\n", encoding="utf-8")
vim = Terminal(desk, ["vim", "hand-cream.formula"])
answer = desk.home / "answer.json"


def ask(expression):
    """What Vim says an expression is worth."""
    answer.unlink(missing_ok=True)
    vim.press("Escape")
    vim.type(f":call writefile([json_encode({expression})], '{answer}')")
    vim.press("Enter")
    for _ in range(100):
        if answer.exists() and (text := answer.read_text(encoding="utf-8")):
            return json.loads(text)
        time.sleep(0.05)
    return None


def command(text):
    vim.press("Escape")
    vim.type(":" + text)
    vim.press("Enter")


def found(code="above-legal-limit"):
    return [d for d in ask("ale#engine#GetLoclist(bufnr(''))") or [] if d.get("code") == code]


def line(text):
    lines = ask("getline(1, '$')") or []
    return next((l for l in lines if text in l), None)


desk.step("the file type is known", lambda: ask("&filetype"), lambda t: t == "formula")
desk.check("the syntax is coloured", ask("synIDattr(synID(1, 1, 1), 'name')") == "formulaHeading")
desk.step("the server is started", desk.server_runs)
desk.step("a good formula draws no error", lambda: ask("ale#statusline#Count(bufnr(''))"), lambda c: c and c["error"] == 0)

# A row with an é and an emoji to the left of what is wrong.
command("/panthenol")
vim.type("ocrème 🧴 mix   1.2 %")
vim.press("Escape")
seen = desk.step("a typed fault is shown", found, lambda l: len(l) == 1)
desk.check("on its row", seen and ask(f"getline({seen[0]['lnum']})") == "  crème 🧴 mix   1.2 %", seen)
desk.step("a mark stands beside the row", lambda: ask("sign_getplaced(bufnr(''), {'group': '*'})[0].signs"), bool)
command("call cursor(search('crème 🧴 mix', 'w'), 1)")
desk.step("the message stands below", vim.screen, lambda s: "1 %" in s.splitlines()[-1])
# An edit to the right of both.
command("call cursor(search('crème 🧴 mix', 'w'), 1)")
vim.type("$F1ct 1.1")
vim.press("Escape")
desk.step("an edit behind é and 🧴 lands where it was typed", found, lambda l: len(l) == 1 and "1.1 %" in l[0]["detail"])

# The fix. ALE 3.3 counts the bytes of a line where the protocol counts UTF-16: on this row it would miss, as the page says.
command("call cursor(search('crème 🧴 mix', 'w'), 1)")
vim.type("ccphenoxyethanol   1.2 %")
vim.press("Escape")
desk.step("a fault on a plain row", found, lambda l: len(l) == 1 and "1.2 %" in l[0]["detail"])
command("call cursor(search('phenoxyethanol', 'w'), 20)")
if len(sys.argv) > 1:
    # For the picture: the whole of the finding.
    command("ALEDetail")
    time.sleep(1)
    vim.press("C-w", "k")
    time.sleep(0.5)
    with open(sys.argv[1], "w", encoding="utf-8") as out:
        out.write(vim.screen(colours=True))
    command("pclose")
command("call cursor(search('phenoxyethanol', 'w'), 20)")
command("ALECodeAction")
desk.step("the fixes are offered", vim.screen, lambda s: "Type number and <Enter>" in s or "Change" in s)
vim.type("1")
vim.press("Enter")
desk.step("the fix is applied", lambda: line("phenoxyethanol"), lambda l: l == "  phenoxyethanol   1 %")
desk.step("and the fault is gone", lambda: len(found()) == 0)

# Hover, completion, formatting.
command("call cursor(search('glycerin', 'w'), 4)")
command("ALEHover")
desk.step("hover shows the card", vim.screen, lambda s: "Glycerin" in s)
command("pclose")
command("call cursor(search('rapeseed oil', 'w'), 1)")
vim.type("ojojob")
vim.press("C-x", "C-o")
desk.step("completion offers the ingredient", vim.screen, lambda s: "jojoba oil" in s)
vim.press("C-y")
time.sleep(0.5)
desk.step("and writes its name", lambda: line("jojoba"))
command("g/jojob/d")
command("s/nothing//e")
before = line("xanthan gum")
command("%s/xanthan gum  */xanthan gum /")
desk.check("a row stands out of line", line("xanthan gum") != before)
command("ALEFix")
desk.step("formatting puts it back", lambda: line("xanthan gum"), lambda l: l == before)

command("qa!")
desk.end()
