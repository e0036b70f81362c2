"""Drives a real Kate under Xvfb with the files that editors/kate/README.md tells to copy."""

import json
import os
import re
import shutil
import subprocess
import sys
import time

from desk import PROGRAM, ROOT, Desk, blocks

desk = Desk()
# What Kate and the server say to each other is kept, to see that the right kind of file was opened and findings came.
heard = desk.home / "heard"
starter = desk.home / "bin/phasewright"
starter.write_text(f'#!/bin/sh\necho $$ >"{desk.pid_file}"\ntee "{heard}.in" | "{PROGRAM}" "$@" | tee "{heard}.out"\n')
for script in blocks("editors/kate/README.md", "sh"):
    subprocess.run(["sh", "-e", "-c", script], cwd=ROOT, env=desk.environment, check=True)
# The plugin is ticked in Kate's settings, as the README says; its own file holds that.
(desk.home / ".config/katerc").write_text(
    "[Kate Plugins]\nlspclientplugin=true\n\n[lspclient]\nDiagnostics=true\n\n[General]\nShow welcome view for new window=false\n"
)
display = next(f":{n}" for n in range(91, 120) if not os.path.exists(f"/tmp/.X11-unix/X{n}"))
desk.environment |= {"DISPLAY": display, "QT_QPA_PLATFORM": "xcb", "KDE_DEBUG": "1"}
screen = subprocess.Popen(["Xvfb", display, "-screen", "0", "1100x800x24"], stderr=subprocess.DEVNULL)
desk.step("a screen is there", lambda: os.path.exists(f"/tmp/.X11-unix/X{display[1:]}"))


def x(*arguments):
    return subprocess.run(["xdotool", *arguments], env=desk.environment, capture_output=True, text=True).stdout


def question():
    """Where the window with a question stands: the one that is smaller than Kate's own."""
    for window in x("search", "--onlyvisible", "--class", "kate").split():
        where = dict(line.split("=") for line in x("getwindowgeometry", "--shell", window).split())
        if 200 < int(where["WIDTH"]) < 700 and int(where["HEIGHT"]) > 100:
            return where
    return None


def said(which):
    try:
        return (heard.parent / f"heard.{which}").read_bytes()
    except OSError:
        return b""


def messages(which):
    out, rest = [], said(which)
    while match := re.match(rb"(?:[^\r\n]+\r\n)*?Content-Length: (\d+)\r\n(?:[^\r\n]+\r\n)*\r\n", rest):
        length = int(match.group(1))
        body = rest[match.end() : match.end() + length]
        rest = rest[match.end() + length :]
        try:
            out.append(json.loads(body))
        except ValueError:
            break
    return out


def findings():
    published = [m["params"] for m in messages("out") if m.get("method") == "textDocument/publishDiagnostics"]
    return published[-1]["diagnostics"] if published else None


def red():
    """Pixels as red as the row of a fault, in the picture of the screen."""
    picture = subprocess.run(["xwd", "-root", "-silent"], env=desk.environment, capture_output=True).stdout
    if not picture:
        return 0
    header = int.from_bytes(picture[0:4], "big")
    colours = int.from_bytes(picture[76:80], "big")
    blue, green, red = (picture[header + colours * 12 + n :: 4] for n in range(3))
    return sum(1 for r, g, b in zip(red, green, blue) if r > 235 and 200 < g < 230 and abs(g - b) < 6)


def type_text(text):
    x("type", "--delay", "40", text)


kate = subprocess.Popen(
    ["dbus-run-session", "--", "kate", "-b", str(desk.file)], env=desk.environment, cwd=desk.folder, stdout=subprocess.DEVNULL, stderr=open(desk.home / "kate.log", "w")
)
try:
    desk.step("a window opens", lambda: x("search", "--onlyvisible", "--name", "hand-cream"))
    window = x("search", "--onlyvisible", "--name", "hand-cream").split()[-1]
    x("windowsize", window, "1100", "800")
    x("windowmove", window, "0", "0")
    # It asks once whether it may start the server, as the page says.
    asked = desk.step("it asks whether it may start the server", question)
    where = asked or {"X": 0, "Y": 0, "WIDTH": 0, "HEIGHT": 0}
    x("mousemove", str(int(where["X"]) + int(where["WIDTH"]) - 137), str(int(where["Y"]) + int(where["HEIGHT"]) - 24), "click", "1")
    opened = desk.step(
        "the file is opened as a formula",
        lambda: [m for m in messages("in") if m.get("method") == "textDocument/didOpen"],
    )
    desk.check("with its language's name", opened and opened[0]["params"]["textDocument"]["languageId"].lower() == "formula", opened and opened[0]["params"]["textDocument"]["languageId"])
    desk.step("a good formula draws no error", findings, lambda l: l is not None and not [d for d in l if d["severity"] == 1])
    before = red()
    x("mousemove", "500", "300", "click", "1")
    # To the row with panthenol: Kate's own "go to line".
    lines = desk.file.read_text(encoding="utf-8").splitlines()
    row = next(n for n, l in enumerate(lines) if "panthenol" in l)
    x("key", "ctrl+g")
    time.sleep(0.5)
    type_text(str(row + 1))
    x("key", "Return")
    time.sleep(0.3)
    x("key", "End", "Return")
    type_text("phenoxyethanol   1.2 %")
    wrong = desk.step("a typed fault is found", findings, lambda l: [d for d in l or [] if d.get("code") == "above-legal-limit"])
    fault = next(d for d in wrong if d.get("code") == "above-legal-limit")
    desk.check("on its row", fault["range"]["start"]["line"] == row + 1, fault)
    desk.step("its row turns red", red, lambda n: n > before + 1000)
    if len(sys.argv) > 1:
        time.sleep(1)
        subprocess.run(f"xwd -root -silent | convert xwd:- -colors 64 png8:{sys.argv[1]}", shell=True, env=desk.environment)
    x("key", "ctrl+s")
    desk.step("it is saved", lambda: "phenoxyethanol   1.2 %" in desk.file.read_text(encoding="utf-8"))
    x("key", "ctrl+q")
    try:
        kate.wait(20)
    except subprocess.TimeoutExpired:
        desk.check("Kate leaves", False)
finally:
    if kate.poll() is None:
        kate.kill()
    screen.terminate()
    if desk.failed:
        print((desk.home / "kate.log").read_text(errors="replace")[-2000:])
desk.end()
