#!/usr/bin/env bash
# Makes the pictures of the editors again: a formula with findings in Neovim, 100 columns wide, and in VS Code, 1280 pixels
# wide. Installs what the typing robot needs.
set -euo pipefail
cd "$(dirname "$0")/../.."
bash tests/robot/install
node docs/pictures/editors.mjs
