#!/usr/bin/env bash
# Fuzzes every reader of foreign bytes and tells how often each was run; fails where a law was broken.
#
#   tools/fuzz.sh [TIME [READER...]]   TIME seconds for each, 60 where nothing is said
#
# The targets are those of cargo-fuzz and can be run with it too. Nothing here needs it, or a nightly compiler: what
# libFuzzer wants to know of the code is asked for by plain flags, and code that is all safe needs no sanitizer.
set -uo pipefail
# shellcheck source=tools/env.sh
. "$(dirname "$0")/env.sh"
cd "$root/tests/fuzz" || exit 1

time=${1:-60}
shift
readers=("$@")
[ $# -gt 0 ] || mapfile -t readers < <(basename -s .rs -- targets/*.rs)

coverage="-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 -Cllvm-args=-sanitizer-coverage-inline-8bit-counters"
coverage+=" -Cllvm-args=-sanitizer-coverage-pc-table -Cllvm-args=-sanitizer-coverage-trace-compares"
native=$(rustc -vV | sed -n 's/^host: //p')
log=$(mktemp)
trap 'rm -f "$log"' EXIT

(cd "$root" && cargo run -q --example seeds tests/fuzz/target/corpus) || fail "fuzz: the first files could not be made"
# With a target named, the flags are not for what runs while it is being built.
RUSTFLAGS="$coverage -Cdebug-assertions --cfg fuzzing" cargo build -q --release --target "$native" --bins ||
  fail "fuzz: the targets could not be built"

broken=0
printf '%-12s %10s %8s %8s  %s\n' reader runs "runs/s" branches ""
for reader in "${readers[@]}"; do
  found=target/found/$reader/
  mkdir -p "$found"
  # What takes ten seconds hangs. The longest input is that of a long song.
  "target/$native/release/$reader" "target/corpus/$reader" -max_total_time="$time" -timeout=10 -max_len=16384 \
    -artifact_prefix="$found" -print_final_stats=1 >"$log" 2>&1
  status=$?
  runs=$(awk '/^stat::number_of_executed_units/ { print $2 }' "$log")
  speed=$(awk '/^stat::average_exec_per_sec/ { print $2 }' "$log")
  branches=$(grep -o 'cov: [0-9]*' "$log" | tail -n 1 | cut -d' ' -f2)
  word=
  if [ $status != 0 ]; then
    broken=$((broken + 1))
    word="broken: $(grep -m 1 -A 1 'panicked at' "$log" | tr '\n' ' ' | cut -c1-300)$(grep -m 1 -E '^==.*(ERROR|timeout)' "$log")"
  fi
  printf '%-12s %10s %8s %8s  %s\n' "$reader" "${runs:-?}" "${speed:-?}" "${branches:-?}" "$word"
done
say "fuzz: ${#readers[@]} readers, $time s each, $broken broken; what broke them lies in tests/fuzz/target/found"
[ "$broken" = 0 ]
