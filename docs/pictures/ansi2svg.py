#!/usr/bin/env python3
"""Draws what a terminal shows as an SVG: text with ANSI styles on stdin, SVG on stdout. Needs nothing but Python."""

import re
import sys
import unicodedata
from html import escape

CELL, LINE, PAD, SIZE = 8.4, 19, 18, 14
GROUND, PLAIN, DIM = "#16181d", "#d7dae0", "#8a909c"
COLOURS = {31: "#ff7b72", 32: "#7ee787", 33: "#e3b341", 34: "#79c0ff", 36: "#76d9e6"}
STYLE = re.compile(r"\x1b\[([0-9;]*)m")


def width(text):
    return sum(2 if unicodedata.east_asian_width(c) in "WF" else 0 if unicodedata.combining(c) else 1 for c in text)


def runs(line, style):
    """Pieces of one style each. Styles last until they are taken back."""
    out, at = [], 0
    for m in [*STYLE.finditer(line), None]:
        piece = line[at : m.start() if m else len(line)]
        if piece:
            out.append((piece, dict(style)))
        if m is None:
            break
        at = m.end()
        for code in (int(c or 0) for c in m.group(1).split(";")):
            if code == 0:
                style.clear()
            elif code in COLOURS:
                style["fill"] = COLOURS[code]
            elif code == 1:
                style["weight"] = "bold"
            elif code == 2:
                style["fill"] = DIM
            elif code == 4:
                style["line"] = "underline"
    return out


def main():
    lines = sys.stdin.read().rstrip("\n").split("\n")
    wide = max(width(STYLE.sub("", line)) for line in lines)
    w, h = wide * CELL + 2 * PAD, len(lines) * LINE + 2 * PAD
    print(f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {w:.0f} {h:.0f}" width="{w:.0f}" height="{h:.0f}" role="img">')
    print(f'<rect width="100%" height="100%" rx="10" fill="{GROUND}"/>')
    print(f'<g font-family="ui-monospace, \'DejaVu Sans Mono\', Menlo, Consolas, monospace" font-size="{SIZE}" xml:space="preserve">')
    style = {}
    for n, line in enumerate(lines):
        column = 0
        for text, s in runs(line, style):
            cells = width(text)
            if text.strip():
                # Blanks that no browser draws together.
                shown = escape(text).replace(" ", "\u00a0")
                more = f' font-weight="{s["weight"]}"' if "weight" in s else ""
                more += f' text-decoration="{s["line"]}"' if "line" in s else ""
                # The length is given so that columns stand under each other in any font.
                print(
                    f'<text x="{PAD + column * CELL:.1f}" y="{PAD + n * LINE + SIZE}" textLength="{cells * CELL:.1f}" '
                    f'lengthAdjust="spacingAndGlyphs" fill="{s.get("fill", PLAIN)}"{more}>{shown}</text>'
                )
            column += cells
    print("</g></svg>")


main()
