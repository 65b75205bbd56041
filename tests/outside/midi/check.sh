#!/usr/bin/env bash
# Writes MIDI files and has them read by mido and pretty_midi, and played by fluidsynth: the pitches it renders
# are estimated from the sound and compared with what the performance sounds, in cents.
set -euo pipefail
fresh=$(mktemp -d)
trap 'rm -rf "$fresh"' EXIT
(cd ../../.. && cargo run -q --example exports -- "$fresh")
"${PYTHON:-python3}" read.py "$fresh"

font=/usr/share/sounds/sf2/TimGM6mb.sf2
if command -v fluidsynth >/dev/null && [ -e $font ]; then
  "${PYTHON:-python3}" render.py "$fresh" $font
else
  echo "fluidsynth or its sound font cannot be had here: rendering skipped"
fi
