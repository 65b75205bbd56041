#!/usr/bin/env bash
# Has fluidsynth play invented songs with sound fonts and instruments nothing was learned from, hears them, and has
# mir_eval score what was heard. SONGS=40 for the whole set (the default here is five of each style).
set -euo pipefail
fonts="/usr/share/sounds/sf2/FluidR3_GM.sf2 /usr/share/sounds/sf2/TimGM6mb.sf2"
there() { command -v fluidsynth >/dev/null && ls $fonts >/dev/null 2>&1; }
if ! there; then
  echo "fluidsynth or its sound fonts cannot be had here: listening to rendered songs skipped"
  exit 0
fi
fresh=$(mktemp -d)
trap 'rm -rf "$fresh"' EXIT
"${PYTHON:-python3}" songs.py "$fresh" test "${SONGS:-25}"
(cd ../../.. && cargo run -q --example hear -- song "$fresh"/*.s16)
"${PYTHON:-python3}" score.py "$fresh" test --hold
