#!/usr/bin/env bash
# Gets what the build needs and says what it does. Safe to run again: the second run takes seconds.
#
#   tools/setup.sh          what `make serve` and `make build` need
#   tools/setup.sh browser  that, and the browser that pictures, figures and tests are taken with
#   tools/setup.sh tests    that, and what the outside checks read with
set -euo pipefail
# shellcheck source=tools/env.sh
. "$(dirname "$0")/env.sh"

want=${1:-build}
mkdir -p "$local_tools" "$LEADBAR_CACHE"
exec 9>"$LEADBAR_CACHE/setup.lock"
if ! flock -n 9; then
  say "set-up: another one is running; waiting for it"
  flock 9
fi

# Runs one stage and says how long it took, if that was more than a moment.
stage() {
  local name=$1 begin=$SECONDS
  shift
  "$@"
  [ $((SECONDS - begin)) -lt 3 ] || say "set-up: $name took $((SECONDS - begin)) s"
}

as_root() { if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi; }

apt_install() {
  command -v apt-get >/dev/null || fail "set-up: please install: $* (this machine has no apt-get)"
  say "set-up: installing $* with apt-get"
  as_root apt-get update -qq
  as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$@" >/dev/null
}

# Links a tool of the cache into tools/.local; $1 its name there, $2 its folder in the cache.
link_tool() { ln -sfn "$2" "$local_tools/$1"; }

# --- the compiler for wasm32 -------------------------------------------------------------------

rust_has_target() {
  [ -d "$(rustc --print sysroot)/lib/rustlib/$wasm_target/lib" ]
}

ensure_target() {
  command -v cargo >/dev/null || fail "set-up: Rust is missing. Install it with rustup, then run this again."
  if rust_has_target; then
    rm -f "$local_tools/rust-web"
    return
  fi
  if [ -e "$local_tools/rust-web/ready" ]; then return; fi
  local made
  for made in "$LEADBAR_CACHE"/rust-web-*/ready; do
    [ -e "$made" ] || continue
    link_tool rust-web "$(dirname "$made")"
    return
  done
  if command -v rustup >/dev/null; then
    say "set-up: asking rustup for the $wasm_target target"
    if timeout 120 rustup target add $wasm_target >/dev/null 2>&1; then return; fi
    say "set-up: rustup could not give it; trying the distribution's compiler"
  fi
  ensure_distribution_target
}

# Debian ships a recent compiler as rustc-web, with the source of the standard library but without
# its wasm32 build. We build that once, and lay out a toolchain folder around it.
ensure_distribution_target() {
  local native lld version home
  [ -x /usr/bin/rustc ] && [ -d /usr/lib/rustlib ] && [ -x /usr/bin/clippy-driver ] && dpkg -s rust-web-src >/dev/null 2>&1 ||
    apt_install rustc-web cargo-web rust-web-clippy rust-web-src
  version=$(/usr/bin/rustc --version | cut -d' ' -f2)
  native=$(rustc -vV | sed -n 's/^host: //p')
  lld=$(rustc --print sysroot)/lib/rustlib/$native/bin/rust-lld
  [ -x "$lld" ] || fail "set-up: rust-lld is missing from $(rustc --print sysroot): reinstall the toolchain with rustup."
  home=$LEADBAR_CACHE/rust-web-$version

  say "set-up: building the standard library of Rust $version for $wasm_target (about a minute)"
  rm -rf "$home" "$home.build"
  mkdir -p "$home/bin" "$home/lib/rustlib/$native/bin" "$home/lib/rustlib/$wasm_target/lib" "$home.build/src"
  local tool
  for tool in cargo cargo-clippy clippy-driver; do
    ln -s "/usr/bin/$tool" "$home/bin/$tool"
  done
  for tool in rustc rustdoc; do
    printf '#!/bin/sh\nexec /usr/bin/%s --sysroot "%s" "$@"\n' "$tool" "$home" >"$home/bin/$tool"
    chmod +x "$home/bin/$tool"
  done
  ln -s "$lld" "$home/lib/rustlib/$native/bin/rust-lld"
  ln -s "/usr/lib/rustlib/$native/lib" "$home/lib/rustlib/$native/lib"
  [ ! -d /usr/lib/rustlib/src ] || ln -s /usr/lib/rustlib/src "$home/lib/rustlib/src"

  printf '[package]\nname = "sysroot"\nversion = "0.0.0"\nedition = "2021"\n[workspace]\n' >"$home.build/Cargo.toml"
  printf '#![no_std]\n' >"$home.build/src/lib.rs"
  (cd "$home.build" && RUSTC=/usr/bin/rustc RUSTC_BOOTSTRAP=1 /usr/bin/cargo build -q --release \
    --target $wasm_target --target-dir "$home.build/target" -Zbuild-std=std,panic_abort,test)
  find "$home.build/target/$wasm_target/release/deps" -name '*.rlib' ! -name 'libsysroot-*' \
    -exec cp {} "$home/lib/rustlib/$wasm_target/lib/" \;
  rm -rf "$home.build"
  touch "$home/ready"
  link_tool rust-web "$home"
}

# --- the tools that follow the compiler --------------------------------------------------------

# compile_tool HOME PACKAGE [OPTIONS...]: a program from the registry, in the folder HOME. It reads one module a build:
# quick compiling is worth more here than quick running. What two of them share is compiled once.
compile_tool() {
  local home=$1
  shift
  (cd / && CARGO_PROFILE_RELEASE_OPT_LEVEL=1 CARGO_PROFILE_RELEASE_LTO=off CARGO_PROFILE_RELEASE_CODEGEN_UNITS=16 \
    CARGO_PROFILE_RELEASE_DEBUG=0 CARGO_TARGET_DIR="$LEADBAR_CACHE/tools.build" cargo install -q "$@" --root "$home")
}

ensure_wasm_bindgen() {
  local version home
  version=$(wasm_bindgen_version)
  home=$LEADBAR_CACHE/wasm-bindgen-$version
  if [ ! -x "$home/bin/wasm-bindgen" ]; then
    say "set-up: compiling wasm-bindgen $version (a few minutes)"
    # Without a safe line to other machines: its runner of tests speaks with the browser of this one.
    compile_tool "$home" wasm-bindgen-cli --no-default-features --version "=$version"
  fi
  link_tool wasm-bindgen "$home"
}

# ensure_small_maker PACKAGE VERSION PROGRAM WHAT: a program from npm that makes WHAT smaller; the page works without it.
ensure_small_maker() {
  local package=$1 version=$2 program=$3 what=$4
  local home=$LEADBAR_CACHE/$package-$version
  if [ ! -x "$home/node_modules/.bin/$program" ]; then
    if ! command -v npm >/dev/null; then
      say "set-up: npm is missing, so no $program: $what will be larger than need be"
      return
    fi
    say "set-up: fetching $program (npm package $package $version)"
    mkdir -p "$home"
    if ! npm install --silent --no-audit --no-fund --prefix "$home" "$package@$version" >/dev/null; then
      say "set-up: npm could not fetch it: $what will be larger than need be"
      return
    fi
  fi
  link_tool "$package" "$home"
}

# Gives each room of the published page a file of its own.
ensure_wasm_split() {
  local home=$LEADBAR_CACHE/wasm-split-$wasm_split_version
  if [ ! -x "$home/bin/wasm-split-cli" ]; then
    say "set-up: compiling wasm-split $wasm_split_version (a few minutes)"
    compile_tool "$home" wasm_split_cli_support --locked --features build-binary --version "=$wasm_split_version"
  fi
  link_tool wasm-split "$home"
}

ensure_browser() {
  command -v chromium >/dev/null && command -v chromedriver >/dev/null || apt_install chromium chromium-driver
}

ensure_test_packages() {
  command -v npm >/dev/null || fail "set-up: the browser tests need node and npm: please install them."
  local modules=$root/tests/e2e/node_modules
  [ "$modules/.package-lock.json" -nt "$root/tests/e2e/package-lock.json" ] && return
  say "set-up: fetching the packages of the browser tests"
  (cd "$root/tests/e2e" && npm ci --silent --no-audit --no-fund >/dev/null)
}

# What is mostly waited for: the network, and the disk that packages are laid out on.
fetched() {
  stage "the wasm target" ensure_target
  stage "wasm-opt" ensure_small_maker binaryen "$binaryen_version" wasm-opt "the module"
  stage "esbuild" ensure_small_maker esbuild "$esbuild_version" esbuild "scripts and styles"
  [ "$want" != build ] || return 0
  stage "the browser" ensure_browser
  stage "the test packages" ensure_test_packages
  [ "$want" = tests ] || return 0
  stage "the packages of the outside checks" "$root/tools/outside.sh" --fetch
}

# What is mostly computed.
compiled() {
  stage "wasm-bindgen" ensure_wasm_bindgen
  stage "wasm-split" ensure_wasm_split
  rm -rf "$LEADBAR_CACHE/tools.build"
}

if command -v cc >/dev/null; then
  fetched &
  fetching=$!
  trap 'kill "$fetching" 2>/dev/null || true' EXIT
  compiled
  # With its own words said, if it failed.
  wait "$fetching"
else
  # The linker comes with the distribution's compiler.
  fetched
  compiled
fi
say "set-up: ready ($SECONDS s)"
