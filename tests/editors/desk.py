"""What the tests of the terminal editors share: a HOME made as the editor's README says, a terminal, waiting for what is wanted."""

import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PROGRAM = Path(os.environ.get("PHASEWRIGHT", ROOT / "target/debug/phasewright"))
WAIT_S = 20


def blocks(readme, language):
    """The code blocks of a README in a language, with this project's folder for /path/to/phasewright."""
    text = (ROOT / readme).read_text(encoding="utf-8")
    found = re.findall(r"^( *)```" + language + r"\n(.*?)^\1```", text, re.S | re.M)
    out = []
    for indent, block in found:
        lines = [line[len(indent) :] if line.startswith(indent) else line.strip() for line in block.splitlines()]
        out.append("\n".join(lines).replace("/path/to/phasewright", str(ROOT)) + "\n")
    return out


class Desk:
    """A fresh HOME, a folder with a formula and an ingredient of its own, and what was found to be true or not."""

    def __init__(self):
        self.folder = Path(os.environ.get("FOLDER") or tempfile.mkdtemp(prefix="desk-"))
        self.home = Path(tempfile.mkdtemp(prefix="home-"))
        tools = self.home / "bin"
        tools.mkdir()
        # The server's number is written down, so that it can be seen to leave with the editor.
        self.pid_file = self.home / "server.pid"
        starter = tools / "phasewright"
        starter.write_text(f'#!/bin/sh\ncase "$1" in serve) echo $$ >"{self.pid_file}" ;; esac\nexec "{PROGRAM}" "$@"\n')
        starter.chmod(0o755)
        self.environment = {
            **os.environ,
            "HOME": str(self.home),
            "PATH": f"{tools}:{ROOT / 'target/editors/bin'}:{os.environ['PATH']}",
            "XDG_CONFIG_HOME": str(self.home / ".config"),
            "XDG_DATA_HOME": str(self.home / ".local/share"),
            "XDG_CACHE_HOME": str(self.home / ".cache"),
            "XDG_RUNTIME_DIR": str(self.home / "run"),
            "LANG": "C.UTF-8",
            "LC_ALL": "C.UTF-8",
            "TERM": "xterm-256color",
        }
        (self.home / "run").mkdir(mode=0o700)
        self.failed = 0
        if not (self.folder / "hand-cream.formula").exists():
            example = (ROOT / "examples/gardeners-hand-cream.formula").read_text(encoding="utf-8")
            (self.folder / "hand-cream.formula").write_text(example.replace('"oil"', '"oil, crème 🧴"'), encoding="utf-8")
            (self.folder / "ingredients").mkdir()
            (self.folder / "ingredients/creme-mix.toml").write_text(
                'id = "creme-mix"\nnames = ["crème 🧴 mix"]\ncomposition = [{ of = "phenoxyethanol", percent = 100 }]\n', encoding="utf-8"
            )
        self.file = self.folder / "hand-cream.formula"

    def check(self, name, ok, seen=None):
        self.failed += not ok
        print(("ok   " if ok else "FAIL ") + name + ("" if ok else f"\n     seen: {seen!r}"), flush=True)
        return ok

    def step(self, name, look, wanted=bool):
        """Asks until the answer is wanted; no answer is ever this late unless something hangs."""
        end = time.monotonic() + WAIT_S
        seen = None
        while time.monotonic() < end:
            seen = look()
            if wanted(seen):
                break
            time.sleep(0.1)
        self.check(name, wanted(seen), seen)
        return seen

    def server_runs(self):
        try:
            pid = int(self.pid_file.read_text())
            # A process that has ended and waits to be asked for is gone.
            return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
        except (OSError, ValueError):
            return False

    def end(self):
        self.step("the server is gone with the editor", lambda: not self.server_runs())
        shutil.rmtree(self.home, ignore_errors=True)
        print("all well" if self.failed == 0 else f"{self.failed} failed")
        sys.exit(0 if self.failed == 0 else 1)


class Terminal:
    """A terminal of tmux, 100 columns wide, on a socket of its own."""

    def __init__(self, desk, command, rows=40, columns=100):
        self.desk = desk
        self.socket = str(desk.home / "tmux")
        self.tmux("-f", "/dev/null", "new-session", "-d", "-x", str(columns), "-y", str(rows), *command)

    def tmux(self, *arguments):
        done = subprocess.run(
            ["tmux", "-u", "-S", self.socket, *arguments], env=self.desk.environment, cwd=self.desk.folder, capture_output=True, text=True
        )
        return done.stdout

    def type(self, text):
        self.tmux("send-keys", "-l", text)

    def press(self, *keys):
        self.tmux("send-keys", *keys)
        # What follows an escape at once would be read as a key held together with Alt.
        if "Escape" in keys:
            time.sleep(0.15)

    def screen(self, colours=False):
        return self.tmux("capture-pane", "-p", *(["-e"] if colours else []))

    def close(self):
        self.tmux("kill-server")
