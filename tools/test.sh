#!/usr/bin/env bash
# Every test there is, stage by stage; ends with one line that sums them up.
# A stage that fails does not keep the next from running. STAGES="native page" runs only those.
set -uo pipefail
# shellcheck source=tools/env.sh
. "$(dirname "$0")/env.sh"
cd "$root" || exit 1

passed=0 failed=0 skipped=0
summary=
logs=$(mktemp -d)
log=$logs/stage
trap 'rm -rf "$logs"' EXIT
export CARGO_TERM_COLOR=never
export CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUNNER=$root/tools/wasm-test-runner.sh

# Sums the counts that a stage printed: cargo's, node's and our own closing lines.
count() {
  awk -v word="$1" '
    /^test result: / || /^[a-z]+: [0-9]+ passed, / {
      for (i = 2; i <= NF; i++) if ($i ~ "^" word) sum += $(i - 1)
    }
    word == "passed" && /^ℹ pass / { sum += $3 }
    word == "failed" && /^ℹ (fail|cancelled) / { sum += $3 }
    word == "skipped" && /^ℹ skipped / { sum += $3 }
    END { print sum + 0 }' "$log"
}

# stage NAME KIND COMMAND...: KIND is `tests` when the command prints its own counts, `check` when it
# is one test by itself.
stage() {
  local name=$1 kind=$2 begin=$SECONDS status ok bad
  shift 2
  case " ${STAGES:-$name} " in *" $name "*) ;; *) return 0 ;; esac
  say "== $name"
  "$@" 2>&1 | tee "$log"
  status=${PIPESTATUS[0]}
  ok=0 bad=0
  if [ "$kind" = tests ]; then
    ok=$(count passed) bad=$(count failed)
    skipped=$((skipped + $(count skipped) + $(count ignored)))
  elif [ "$status" = 0 ]; then
    ok=1
  fi
  # A stage that broke before it could count, or that found nothing to run, has failed.
  if [ "$bad" = 0 ] && { [ "$status" != 0 ] || [ "$ok" = 0 ]; }; then bad=1; fi
  passed=$((passed + ok)) failed=$((failed + bad))
  summary+=$(printf '%-12s %5d passed %3d failed %5d s' "$name" "$ok" "$bad" $((SECONDS - begin)))$'\n'
}

# beside NAME COMMAND...: begins what takes long and mostly one core, beside the stages that need none of it.
declare -A begun
beside() {
  local name=$1
  shift
  case " ${STAGES:-$name} " in *" $name "*) ;; *) return 0 ;; esac
  {
    "$@" >"$logs/$name" 2>&1
    echo $? >"$logs/$name.status"
  } &
  begun[$name]=$!
}
# joined NAME: waits for what was begun, and says what it said.
joined() {
  while kill -0 "${begun[$1]}" 2>/dev/null; do sleep 1; done
  cat "$logs/$1"
  # One that was ended from outside has left no word.
  return "$(cat "$logs/$1.status" 2>/dev/null || echo 1)"
}

documented() { RUSTDOCFLAGS="-D warnings" cargo doc -q --no-deps --lib; }
# Not optimised: what they test is the same, and optimising it once more would take longer than the tests.
browser_tests() {
  web_cargo --config 'profile.quick.package.leadbar.opt-level=0' test --profile quick --target "$wasm_target" \
    --no-fail-fast --test 'web*'
}
# Two files at a time, but those that play and listen have the machine for themselves.
heard=(played played_class sound takes tuner)
page_tests() {
  local alone=() together=() file status=0
  for file in tests/e2e/*.test.mjs; do
    case " ${heard[*]} " in *" $(basename "$file" .test.mjs) "*) alone+=("$file") ;; *) together+=("$file") ;; esac
  done
  node --test --test-concurrency=2 --test-reporter=spec "${together[@]}" || status=1
  node --test --test-concurrency=1 --test-reporter=spec "${alone[@]}" || status=1
  return "$status"
}

stage set-up check tools/setup.sh tests
# Each half of the page takes mostly one core.
beside build tools/build.sh
stage format check cargo fmt --check
stage lint check cargo clippy -q --all-targets -- -D warnings
stage documents check documented
stage native tests cargo test --no-fail-fast
# What others read is written by what was just compiled.
beside outside tools/outside.sh
stage lint-web check web_cargo clippy -q --profile quick --target "$wasm_target" --lib --test 'web*' -- -D warnings
stage build check joined build
stage browser tests browser_tests
stage outside tests joined outside
stage page tests page_tests

printf '\n%s\n' "$summary"
if [ "$skipped" = 0 ]; then say "$passed passed, $failed failed"; else say "$passed passed, $failed failed, $skipped skipped"; fi
[ "$failed" = 0 ]
