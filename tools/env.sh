# Sourced by the other scripts: where things are and which compiler builds for the browser.
#
# Tools that take minutes to make (the wasm standard library, wasm-bindgen) are kept per user in
# $LEADBAR_CACHE and linked from tools/.local, so that a second checkout or a fresh clone on the same
# machine finds them. Delete both folders to start from nothing.

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
local_tools=$root/tools/.local
LEADBAR_CACHE=${LEADBAR_CACHE:-${XDG_CACHE_HOME:-$HOME/.cache}/leadbar}
wasm_target=wasm32-unknown-unknown
binaryen_version=132.0.0
esbuild_version=0.28.2
wasm_split_version=0.2.4

say() { printf '%s\n' "$*"; }
fail() { printf '%s\n' "$*" >&2; exit 1; }

# The command-line tool must be of the very version of the library: Cargo.lock has it.
wasm_bindgen_version() {
  awk '$0 == "name = \"wasm-bindgen\"" { getline; gsub(/"/, "", $3); print $3; exit }' "$root/Cargo.lock"
}

# Cargo for the browser: rustup's own where it has the target, else the toolchain that setup.sh made.
# Views are erased to plain types: the same page from a module 13 % smaller.
web_cargo() {
  local -x RUSTFLAGS="${RUSTFLAGS-} --cfg erase_components"
  if [ -d "$local_tools/rust-web" ]; then
    local sysroot
    sysroot=$(readlink -f "$local_tools/rust-web")
    PATH="$sysroot/bin:$PATH" RUSTC="$sysroot/bin/rustc" SYSROOT="$sysroot" "$sysroot/bin/cargo" "$@"
  else
    cargo "$@"
  fi
}
