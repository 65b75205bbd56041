#!/usr/bin/env bash
# Runs the outside checks: each regenerates its fixture from a reference outside this project and
# compares it with the one in the tree, which the Rust tests read.
#
# tests/outside/NAME/check.sh exits 0 when they agree. Beside it may lie
#   requirements.txt   Python packages: $PYTHON is then an interpreter that has them
#   npm.txt            npm packages, one `name@version` a line: $NODE_PATH then leads to them
#   apt.txt            packages of the distribution; check.sh says what it leaves out where they are not there
# A check whose other packages cannot be had here is skipped with a word. Names as arguments run only those; with the one
# argument --fetch nothing runs, and only the packages are fetched.
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
    # Compiled when they are first read: most of what comes with them never is.
    python3 -m venv "$home" && "$home/bin/pip" install -q --no-compile -r "$1" && touch "$home/ready"
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

# Installs packages of the distribution where that can be done without asking anybody.
distribution_for() {
  local packages
  mapfile -t packages <"$1"
  ! dpkg -s "${packages[@]}" >/dev/null 2>&1 || return 0
  [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null || return 0
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${packages[@]}" >/dev/null 2>&1 || true
}

# Gets what a check needs: $PYTHON and $NODE_PATH, and what the distribution has.
fetch() {
  local folder=$1
  PYTHON=python3 NODE_PATH=
  if [ -e "$folder/apt.txt" ]; then distribution_for "$folder/apt.txt"; fi
  if [ -e "$folder/requirements.txt" ]; then PYTHON=$(python_for "$folder/requirements.txt") || return 1; fi
  if [ -e "$folder/npm.txt" ]; then NODE_PATH=$(modules_for "$folder/npm.txt") || return 1; fi
  export PYTHON NODE_PATH
}

# Runs one check; answers passed, failed or skipped in $verdict.
run_check() {
  local folder=$1
  verdict=skipped
  fetch "$folder" || return 0
  verdict=failed
  if (cd "$folder" && bash ./check.sh); then verdict=passed; fi
}

passed=0 failed=0 skipped=0 only=
if [ "${1:-}" = --fetch ]; then
  only=1
  shift
fi
mkdir -p "$LEADBAR_CACHE"
[ $# -gt 0 ] || set -- $(cd "$root" && for check in tests/outside/*/check.sh; do [ -e "$check" ] && basename "$(dirname "$check")"; done)
if [ -n "$only" ]; then
  # What can't be had is said by the check that is skipped for it.
  for name in "$@"; do fetch "$root/tests/outside/$name" || true; done
  exit 0
fi
for name in "$@"; do
  run_check "$root/tests/outside/$name"
  say "outside check $name: $verdict"
  eval "$verdict=\$(($verdict + 1))"
done
say "outside: $passed passed, $failed failed, $skipped skipped"
[ "$failed" = 0 ]
