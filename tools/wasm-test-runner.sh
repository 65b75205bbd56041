#!/usr/bin/env bash
# Called by `cargo test --target wasm32-unknown-unknown` with a test module: runs it in headless Chromium.
set -euo pipefail
# shellcheck source=tools/env.sh
. "$(dirname "$0")/env.sh"

case $1 in /*) module=$1 ;; *) module=$PWD/$1 ;; esac
shift
# The runner reads webdriver.json, the browser's settings, from the folder it stands in.
cd "$root/tests"
CHROMEDRIVER=$(command -v chromedriver) exec "$local_tools/wasm-bindgen/bin/wasm-bindgen-test-runner" "$module" "$@"
