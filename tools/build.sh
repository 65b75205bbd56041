#!/usr/bin/env bash
# Builds the page into dist/: a folder of static files that works at the root of a host or below a path.
#
#   tools/build.sh          small and fast to run: what is published and what the tests drive
#   tools/build.sh --dev    quick to build: no link-time optimising, no wasm-opt
set -euo pipefail
# shellcheck source=tools/env.sh
. "$(dirname "$0")/env.sh"
cd "$root"

profile=release
[ "${1:-}" != --dev ] || profile=quick
[ -x "$local_tools/wasm-bindgen/bin/wasm-bindgen" ] || fail "build: run tools/setup.sh first"
dist=${DIST:-$root/dist}
next=$dist.next

# The crate is a plain library to its tests and a module only here: a crate that is both at once is
# never optimised across crates.
web_cargo rustc -q --lib --crate-type cdylib --profile "$profile" --target "$wasm_target"

# The module and its glue are made again only when the compiler made something new.
made=${CARGO_TARGET_DIR:-target}/$wasm_target/$profile
page=$made/page
if [ ! "$page/ready" -nt "$made/leadbar.wasm" ] || [ "$0" -nt "$page/ready" ]; then
  rm -rf "$page"
  "$local_tools/wasm-bindgen/bin/wasm-bindgen" --target web --no-typescript --out-dir "$page" --out-name leadbar \
    "$made/leadbar.wasm"
  wasm=$page/leadbar_bg.wasm
  if [ "$profile" = release ] && [ -x "$local_tools/binaryen/node_modules/.bin/wasm-opt" ]; then
    # No --all-features: it lets wasm-opt emit proposals that no engine reads.
    "$local_tools/binaryen/node_modules/.bin/wasm-opt" -O3 --enable-bulk-memory --enable-nontrapping-float-to-int \
      --enable-sign-ext --enable-mutable-globals --enable-reference-types --enable-multivalue \
      "$wasm" -o "$wasm.opt"
    mv "$wasm.opt" "$wasm"
  fi
  if command -v node >/dev/null; then
    node -e 'new WebAssembly.Module(require("fs").readFileSync(process.argv[1]))' "$wasm" ||
      fail "build: the module is not valid WebAssembly"
  fi
  touch "$page/ready"
fi

rm -rf "$next"
mkdir -p "$next"
cp "$page/leadbar.js" "$page/leadbar_bg.wasm" "$next/"
[ ! -d "$page/snippets" ] || cp -R "$page/snippets" "$next/"
cp index.html "$next/"
[ ! -d static ] || cp -R static/. "$next/"
# What the page is made of, for the packages that it makes of itself.
(cd "$next" && find . -type f | sed 's|^\./||' | LC_ALL=C sort >"$next.files" && mv "$next.files" files.txt)

# The service worker is told what to keep, and by which hash this build differs from others. While the page is being
# worked on nothing is kept (KEEP=1 all the same), so that a reload shows what was built.
(
  cd "$next"
  files=$(find . -type f ! -name service.js ! -name index.html | LC_ALL=C sort)
  hash=$( (printf '%s\n' "$files" index.html service.js | xargs cat && printf '%s' "$files") | sha256sum | cut -c1-16)
  [ "$profile" = release ] || [ -n "${KEEP:-}" ] || files=
  {
    printf 'const BUILD = "%s";\nconst FILES = [' "$hash"
    if [ -n "$files" ]; then
      printf '"./"'
      printf '%s\n' "$files" | sed 's/.*/, "&"/' | tr -d '\n'
    fi
    printf '];\n\n'
    cat service.js
  } >service.js.next
  mv service.js.next service.js
)

# Swapped in at once, so that a page being served never sees half a build.
rm -rf "$dist.last"
[ ! -d "$dist" ] || mv "$dist" "$dist.last"
mv "$next" "$dist"
rm -rf "$dist.last"
say "build: ${dist#"$root"/} is ready; the module is $(($(wc -c <"$dist/leadbar_bg.wasm") / 1024)) kB, $(($(gzip -c "$dist/leadbar_bg.wasm" | wc -c) / 1024)) kB compressed"
