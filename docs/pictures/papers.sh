#!/usr/bin/env bash
# Makes the pictures of the papers again: the first page of each as it comes out of a grey printer on A4.
# Installs nothing. Needs: cargo (builds the program), chromium, pdftoppm (poppler).
set -euo pipefail
cd "$(dirname "$0")"
for tool in cargo chromium pdftoppm; do
  command -v "$tool" >/dev/null || { echo "papers.sh needs $tool; install it first" >&2; exit 2; }
done
cargo build --quiet
program=$(cargo metadata --format-version 1 --no-deps | python3 -c 'import json, sys; print(json.load(sys.stdin)["target_directory"])')/debug/phasewright
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# paper NAME ARGUMENTS...: the first page of what the command prints.
paper() {
  local name=$1
  shift
  # Findings end with status 1; anything above is a failure.
  (cd ../../examples && "$program" "$@" --format html) >"$work/page.html" || [ $? -eq 1 ]
  sed -i 's/@page {/@page { size: A4;/' "$work/page.html"
  chromium --headless --no-sandbox --disable-gpu --user-data-dir="$work/profile" --no-pdf-header-footer \
    --print-to-pdf="$work/page.pdf" "file://$work/page.html" 2>/dev/null
  pdftoppm -png -gray -r 80 -f 1 -l 1 -singlefile "$work/page.pdf" "paper-$name"
}

paper sheet sheet gardeners-hand-cream.formula
paper label label gardeners-hand-cream.formula
paper cost cost gardeners-hand-cream.formula --packaging 0.80 --on 2026-04-02
paper card card gardeners-hand-cream.formula
paper dose dose hand-cream-031.batch
paper compare compare marigold-salve.formula winter-hike-balm.formula
paper standin standin "shea butter" --in gardeners-hand-cream.formula
