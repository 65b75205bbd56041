#!/usr/bin/env bash
# Runs the outside checks: each regenerates its fixture from a reference outside this project and
# compares it with the one in the tree, which the Rust tests read.
#
# tests/outside/NAME/check.sh exits 0 when they agree. Beside it may lie
#   requirements.txt   Python packages: $PYTHON is then an interpreter that has them
#   npm.txt            npm packages, one `name@version` a line: $NODE_PATH then leads to them
# A check whose packages cannot be had here is skipped with a word. Names as arguments run only those.
set -euo pipefail
# shellcheck source=tools/env.sh
. "$(dirname "$0")/env.sh"

# A folder of the cache named after what is installed in it, so that a changed list starts anew.
cache_for() { printf '%s/outside-%s' "$LEADBAR_CACHE" "$(sha256sum "$1" | cut -c1-16)"; }

python_for() {
  local home
  home=$(cache_for "$1")
  if [ ! -e "$home/ready" ]; then
    rm -rf "$home"
    python3 -m venv "$home" && "$home/bin/pip" install -q -r "$1" && touch "$home/ready"
  fi >&2 || return 1
  printf '%s/bin/python' "$home"
}

modules_for() {
  local home
  home=$(cache_for "$1")
  if [ ! -e "$home/ready" ]; then
    rm -rf "$home"
    mkdir -p "$home"
    # shellcheck disable=SC2046 — one package a word
    npm install --silent --ignore-scripts --no-audit --no-fund --prefix "$home" $(grep -v '^#' "$1") && touch "$home/ready"
  fi >&2 || return 1
  printf '%s/node_modules' "$home"
}

# Runs one check; answers passed, failed or skipped in $verdict.
run_check() {
  local folder=$1
  verdict=skipped
  PYTHON=python3 NODE_PATH=
  if [ -e "$folder/requirements.txt" ]; then PYTHON=$(python_for "$folder/requirements.txt") || return 0; fi
  if [ -e "$folder/npm.txt" ]; then NODE_PATH=$(modules_for "$folder/npm.txt") || return 0; fi
  export PYTHON NODE_PATH
  verdict=failed
  if (cd "$folder" && bash ./check.sh); then verdict=passed; fi
}

passed=0 failed=0 skipped=0
mkdir -p "$LEADBAR_CACHE"
[ $# -gt 0 ] || set -- $(cd "$root" && for check in tests/outside/*/check.sh; do [ -e "$check" ] && basename "$(dirname "$check")"; done)
for name in "$@"; do
  run_check "$root/tests/outside/$name"
  say "outside check $name: $verdict"
  eval "$verdict=\$(($verdict + 1))"
done
say "outside: $passed passed, $failed failed, $skipped skipped"
[ "$failed" = 0 ]
