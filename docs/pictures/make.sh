#!/usr/bin/env bash
# Makes the pictures in this folder again. Installs nothing. Needs: cargo (builds the program), python3 (draws the SVG).
set -euo pipefail
cd "$(dirname "$0")"
for tool in cargo python3; do
  command -v "$tool" >/dev/null || { echo "make.sh needs $tool; install it first" >&2; exit 2; }
done
cargo build --quiet
program=$(cargo metadata --format-version 1 --no-deps | python3 -c 'import json, sys; print(json.load(sys.stdin)["target_directory"])')/debug/phasewright

# picture NAME ARGUMENTS...: what the command shows in a terminal.
picture() {
  local name=$1
  shift
  {
    printf '\033[32m$\033[0m phasewright %s\n\n' "$*"
    # Findings end with status 1; anything above is a failure.
    "$program" --color always "$@" || [ $? -eq 1 ]
  } | python3 ansi2svg.py >"$name.svg"
}

picture check check brightening-cream.formula
picture explain explain above-legal-limit
