"""Starts a real Emacs with the init file that editors/emacs/README.md tells to write; emacs.el drives it."""

import subprocess
import sys
import time

from desk import ROOT, Desk, Terminal, blocks

desk = Desk()
(desk.home / ".emacs.d").mkdir()
init = desk.home / ".emacs.d/init.el"
eglot = blocks("editors/emacs/README.md", "elisp")[0]
# Debian's packages stand where the package system looks for them; from Emacs 29 on Eglot is part of it.
init.write_text("(require 'package)\n(package-initialize)\n" + eglot, encoding="utf-8")
if len(sys.argv) > 1:
    picture = Terminal(desk, ["emacs", "-nw", "hand-cream.formula"])
    time.sleep(3)
    picture.press("C-s")
    picture.type("panthenol")
    picture.press("Enter", "C-e", "Enter")
    picture.type("  phenoxyethanol   1.2 %")
    time.sleep(2)
    picture.press("C-b", "C-b")
    time.sleep(2)
    with open(sys.argv[1], "w", encoding="utf-8") as out:
        out.write(picture.screen(colours=True))
    picture.close()
    sys.exit(0)

driven = subprocess.run(
    ["emacs", "--batch", "-l", str(init), "-l", str(ROOT / "tests/editors/emacs.el")],
    env={**desk.environment, "FOLDER": str(desk.folder)},
    capture_output=True,
    text=True,
)
print(driven.stdout)
if driven.returncode:
    print(driven.stderr[-3000:])
desk.check("all of it passed", driven.returncode == 0, driven.returncode)

# lsp-mode with the README's other line: it knows the server and starts it.
lsp = eglot.replace("#'eglot-ensure", "#'lsp-deferred")
check = """
(setq lsp-auto-guess-root t lsp-enable-snippet nil lsp-session-file (expand-file-name "session" temporary-file-directory))
(require 'lsp-mode)
(find-file (expand-file-name "hand-cream.formula" (getenv "FOLDER")))
(lsp)
(let ((end (+ (float-time) 20)))
  (while (and (< (float-time) end) (not (cl-some (lambda (w) (eq (lsp--workspace-status w) 'initialized)) (lsp-workspaces))))
    (accept-process-output nil 0.1)))
(princ (format "%S %S" (mapcar #'lsp--workspace-status (lsp-workspaces)) (lsp-buffer-language)))
"""
init.write_text("(require 'package)\n(package-initialize)\n(require 'cl-lib)\n" + lsp + check, encoding="utf-8")
seen = subprocess.run(["emacs", "--batch", "-l", str(init)], env={**desk.environment, "FOLDER": str(desk.folder)}, capture_output=True, text=True)
desk.check("lsp-mode starts the server too", '(initialized) "formula"' in seen.stdout, seen.stdout + seen.stderr[-2000:])
desk.end()
