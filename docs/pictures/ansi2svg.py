#!/usr/bin/env python3
"""Draws what a terminal shows as an SVG: text with ANSI styles on stdin, SVG on stdout. Needs nothing but Python."""

import re
import sys
import unicodedata
from html import escape

CELL, LINE, PAD, SIZE = 8.4, 19, 18, 14
GROUND, PLAIN, DIM = "#16181d", "#d7dae0", "#8a909c"
COLOURS = {30: "#484f58", 31: "#ff7b72", 32: "#7ee787", 33: "#e3b341", 34: "#79c0ff", 35: "#d2a8ff", 36: "#76d9e6", 37: "#d7dae0"}
COLOURS |= {code + 60: colour for code, colour in COLOURS.items()}
STYLE = re.compile(r"\x1b\[([0-9;:]*)m")


def width(text):
    return sum(2 if unicodedata.east_asian_width(c) in "WF" else 0 if unicodedata.combining(c) else 1 for c in text)


def indexed(n):
    """A colour of the 256 that terminals number."""
    if n < 16:
        return COLOURS[30 + n % 8]
    if n < 232:
        steps = [0, 95, 135, 175, 215, 255]
        return "#%02x%02x%02x" % tuple(steps[(n - 16) // by % 6] for by in (36, 6, 1))
    return "#" + "%02x" % (8 + 10 * (n - 232)) * 3


def change(style, codes):
    """Takes the numbers of one escape sequence into the style."""
    while codes:
        code = codes.pop(0)
        if code in (38, 48) and codes:
            kind = codes.pop(0)
            colour = indexed(codes.pop(0)) if kind == 5 else "#%02x%02x%02x" % tuple(codes[:3])
            if kind == 2:
                del codes[:3]
            style["fill" if code == 38 else "ground"] = colour
        elif code == 0:
            style.clear()
        elif code in COLOURS:
            style["fill"] = COLOURS[code]
        elif code - 10 in COLOURS:
            style["ground"] = COLOURS[code - 10]
        elif code in (39, 49):
            style.pop("fill" if code == 39 else "ground", None)
        elif code == 1:
            style["weight"] = "bold"
        elif code == 2:
            style["fill"] = DIM
        elif code == 4:
            style["line"] = "underline"
        elif code in (7, 27):
            style["reverse"] = code == 7


def runs(line, style):
    """Pieces of one style each. Styles last until they are taken back."""
    out, at = [], 0
    for m in [*STYLE.finditer(line), None]:
        piece = line[at : m.start() if m else len(line)]
        if piece:
            shown = dict(style)
            if shown.pop("reverse", False):
                shown["fill"], shown["ground"] = shown.get("ground", GROUND), shown.get("fill", PLAIN)
            out.append((piece, shown))
        if m is None:
            break
        at = m.end()
        change(style, [int(c or 0) for c in re.split("[;:]", m.group(1))])
    return out


def main():
    lines = re.sub("\x0e|\x0f|\x1b\\([B0]", "", sys.stdin.read()).rstrip("\n").split("\n")
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
            if "ground" in s:
                print(f'<rect x="{PAD + column * CELL:.1f}" y="{PAD + n * LINE}" width="{cells * CELL:.1f}" height="{LINE}" fill="{s["ground"]}"/>')
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
