#!/usr/bin/env bash
# Makes the pictures of the editors again: a formula with findings in Neovim, 100 columns wide, and in VS Code, 1280 pixels
# wide. Installs what the typing robot needs.
set -euo pipefail
cd "$(dirname "$0")/../.."
bash tests/robot/install
node docs/pictures/editors.mjs
# The editors of the terminal, as their tests leave them, and Kate.
for editor in emacs vim kakoune; do
  python3 "tests/editors/$editor.py" "target/$editor.ansi" >/dev/null
  python3 docs/pictures/ansi2svg.py <"target/$editor.ansi" >"docs/pictures/editor-$editor.svg"
done
python3 tests/editors/kate.py docs/pictures/editor-kate.png >/dev/null
