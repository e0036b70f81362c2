#!/usr/bin/env bash
# Installs VS Code for a browser (the package code-server) into target/editors/code-server. Does nothing where it is there.
# Needs Node 20, a C++ compiler, make and Python. No install script of a package runs: the three native modules that the
# server loads are built here, and Debian's ripgrep stands in for the one that would be fetched.
set -euo pipefail
cd "$(dirname "$0")/../.."
version=4.100.3
home=$PWD/target/editors/code-server
ready=$home/ready-$version
if [ -e "$ready" ]; then exit 0; fi

export npm_config_audit=false npm_config_fund=false npm_config_update_notifier=false npm_config_ignore_scripts=true
node_prefix=$(node -p "require('path').resolve(process.execPath, '../..')")
export npm_config_nodedir=$node_prefix

rm -rf "$home"
mkdir -p "$home"
cd "$home"
echo '{ "private": true }' >package.json
npm install --silent --no-save "code-server@$version"
editor=$home/node_modules/code-server/lib/vscode
(cd "$editor" && npm install --silent --omit=dev)
(cd "$editor/extensions" && npm install --silent --omit=dev)
ln -sfn node_modules "$editor/node_modules.asar"

build() { # FOLDER [ARGUMENT OF NODE-GYP...]
  local folder=$1
  shift
  (cd "$folder" && npx --yes node-gyp rebuild "$@" >build.log 2>&1) || { tail -20 "$folder/build.log" >&2; exit 1; }
}
for module in node-pty @vscode/spdlog native-watchdog @vscode/native-watchdog @parcel/watcher; do
  if [ -f "$editor/node_modules/$module/binding.gyp" ]; then build "$editor/node_modules/$module"; fi
done
password_hash=$home/node_modules/argon2
if [ ! -d "$password_hash/prebuilds" ]; then
  build "$password_hash" --napi_build_version=3 --module_name=argon2 --module_path=./lib/binding/napi-v3
  mkdir -p "$password_hash/lib/binding/napi-v3"
  cp "$password_hash/build/Release/argon2.node" "$password_hash/lib/binding/napi-v3/"
fi
if command -v rg >/dev/null; then
  mkdir -p "$editor/node_modules/@vscode/ripgrep/bin"
  ln -sfn "$(command -v rg)" "$editor/node_modules/@vscode/ripgrep/bin/rg"
fi
touch "$ready"
