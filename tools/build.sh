#!/usr/bin/env bash
# Builds the page into dist/: a folder of static files that works at the root of a host or below a path.
#
#   tools/build.sh          small and fast to run: what is published and what the tests drive
#   tools/build.sh --dev    quick to build: no link-time optimising, no wasm-opt
set -euo pipefail
# shellcheck source=tools/env.sh
. "$(dirname "$0")/env.sh"
cd "$root"

dev=
[ "${1:-}" != --dev ] || dev=1
[ -x "$local_tools/wasm-bindgen/bin/wasm-bindgen" ] || fail "build: run tools/setup.sh first"
dist=${DIST:-$root/dist}
next=$dist.next
built=${CARGO_TARGET_DIR:-target}/$wasm_target
opt=$local_tools/binaryen/node_modules/.bin/wasm-opt

# compile PROFILE [OPTIONS...]: makes leadbar.wasm in the folder of the profile.
#
# The crate is a plain library to its tests and a module only here: a crate that is both at once is never optimised
# across crates.
compile() {
  local profile=$1
  shift
  web_cargo rustc -q --lib --crate-type cdylib --profile "$profile" --target "$wasm_target" "$@"
}

# is_made PROFILE: whether the folder `page` of the profile was made of what the compiler made last.
is_made() { [ "$built/$1/page/ready" -nt "$built/$1/leadbar.wasm" ] && [ "$built/$1/page/ready" -nt "$0" ]; }

# bind WASM NAME FOLDER: writes NAME.js and NAME_bg.wasm. What the linker exports stays: the parts of the page need it.
bind() {
  "$local_tools/wasm-bindgen/bin/wasm-bindgen" --target web --no-typescript --keep-lld-exports --out-dir "$3" \
    --out-name "$2" "$1"
}

# optimise "HOW" WASM...
optimise() {
  local how wasm
  read -ra how <<<"$1"
  shift
  [ -x "$opt" ] || return 0
  for wasm in "$@"; do
    # No --all-features: it lets wasm-opt emit proposals that no engine reads.
    "$opt" "${how[@]}" --enable-bulk-memory --enable-nontrapping-float-to-int --enable-sign-ext --enable-mutable-globals \
      --enable-reference-types --enable-multivalue "$wasm" -o "$wasm.opt"
    mv "$wasm.opt" "$wasm"
  done
}

# finish PROFILE: what every browser must be able to read.
finish() {
  local wasm
  if command -v node >/dev/null; then
    for wasm in "$built/$1/page"/*.wasm; do
      node -e 'new WebAssembly.Module(require("fs").readFileSync(process.argv[1]))' "$wasm" ||
        fail "build: $wasm is not valid WebAssembly"
    done
  fi
  touch "$built/$1/page/ready"
}

# The page is what a visit waits for, so it is made small, and its rooms' code goes into files of its own.
small_page() {
  local page=$built/page/page parts=$built/page/parts
  [ -x "$local_tools/wasm-split/bin/wasm-split-cli" ] || fail "build: run tools/setup.sh first"
  compile page --no-default-features --features split -- -C link-args=--emit-relocs
  ! is_made page || return 0
  rm -rf "$page" "$parts"
  "$local_tools/wasm-split/bin/wasm-split-cli" --target web --out-name leadbar "$built/page/leadbar.wasm" "$parts"
  bind "$parts/leadbar.wasm" leadbar "$page"
  rm "$parts/leadbar.wasm"
  cp "$parts"/* "$page/"
  # A host that does not say what kind of file it is can only be read whole.
  sed -i 's/WebAssembly\.instantiateStreaming(src, imports)/arrived(src, imports)/' "$page/__wasm_split.js"
  cat >>"$page/__wasm_split.js" <<'JS'
async function arrived(src, imports) {
  const file = await src;
  const again = file.clone();
  return WebAssembly.instantiateStreaming(file, imports).catch(async () => WebAssembly.instantiate(await again.arrayBuffer(), imports));
}
JS
  # Twice, and without the word of who made it, which no engine reads: 2 kB less of the first visit. A call from one part
  # into another goes by a function of its own: those and others as small stand in what calls them instead. In the parts
  # that makes less to send, in the module itself more.
  local small="-Oz -Oz --strip-producers --strip-target-features"
  optimise "$small" "$page/leadbar_bg.wasm"
  optimise "$small --always-inline-max-function-size=5" "$page"/{split,chunk}_*.wasm
  finish page
}

# The engine computes, so it is made fast.
fast_engine() {
  local page=$built/release/page
  compile release --no-default-features --features engine
  ! is_made release || return 0
  rm -rf "$page"
  bind "$built/release/leadbar.wasm" engine "$page"
  optimise -O3 "$page"/*.wasm
  finish release
}

# Both in one, under both names.
quick_whole() {
  local page=$built/quick/page
  compile quick
  ! is_made quick || return 0
  rm -rf "$page"
  bind "$built/quick/leadbar.wasm" leadbar "$page"
  cp "$page/leadbar.js" "$page/engine.js"
  cp "$page/leadbar_bg.wasm" "$page/engine_bg.wasm"
  finish quick
}

if [ -n "$dev" ]; then
  quick_whole
  made=("$built/quick/page")
else
  # Side by side: each spends most of its time in one optimiser that uses one core.
  small_page &
  page=$!
  fast_engine &
  engine=$!
  well=1
  for half in "$page" "$engine"; do wait "$half" || well=; done
  [ -n "$well" ] || fail "build: what the compiler said stands above"
  made=("$built/page/page" "$built/release/page")
fi

rm -rf "$next"
mkdir -p "$next"
for folder in "${made[@]}"; do cp -R "$folder/." "$next/"; done
rm "$next/ready"
cp index.html "$next/"
[ ! -d static ] || cp -R static/. "$next/"
# One style sheet, in the order that the page names them: each of many would cost a way to the host before the first sight.
(
  cd "$next"
  mapfile -t styles < <(sed -n 's|^<link rel="stylesheet" href="\./\(.*\)">$|\1|p' index.html)
  cat "${styles[@]}" >page.css
  rm "${styles[@]}"
  mv page.css css/
  sed -i -e '0,/^<link rel="stylesheet".*/s||<link rel="stylesheet" href="./css/page.css">|' \
    -e '/^<link rel="stylesheet" href="\.\/css\/page\.css">$/!{/^<link rel="stylesheet"/d}' index.html
)
# What the frame says in each language, and the files of each room's code, for the script that runs before the page.
if command -v node >/dev/null; then node tools/first.mjs "$next"; fi
# What every visit waits for, without what only readers of it need.
esbuild=$local_tools/esbuild/node_modules/.bin/esbuild
if [ -z "$dev" ] && [ -x "$esbuild" ]; then
  for file in "$next"/{first,boot,trouble,offline,leadbar,__wasm_split}.js "$next/css/page.css"; do
    "$esbuild" "$file" --minify --log-level=error --allow-overwrite --outfile="$file"
  done
fi
# What the page is made of, for the packages that it makes of itself.
(cd "$next" && find . -type f | sed 's|^\./||' | LC_ALL=C sort >"$next.files" && mv "$next.files" files.txt)

# The service worker is told what to keep, and by which hash this build differs from others. While the page is being
# worked on nothing is kept (KEEP=1 all the same), so that a reload shows what was built.
(
  cd "$next"
  files=$(find . -type f ! -name service.js ! -name index.html | LC_ALL=C sort)
  hash=$( (printf '%s\n' "$files" index.html service.js | xargs cat && printf '%s' "$files") | sha256sum | cut -c1-16)
  [ -z "$dev" ] || [ -n "${KEEP:-}" ] || files=
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
say "build: ${dist#"$root"/} is ready"
if [ -z "$dev" ] && command -v node >/dev/null; then node tools/sizes.mjs "$dist"; fi
