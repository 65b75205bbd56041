#!/usr/bin/env bash
# Writes the tables anew and compares them with those in the tree. A reference that is not at hand is skipped
# with a word.
set -euo pipefail
cd "$(dirname "$0")"
fresh=$(mktemp -d)
trap 'rm -rf "$fresh"' EXIT

if "${PYTHON:-python3}" -c 'import music21' 2>/dev/null; then
  "${PYTHON:-python3}" music21_table.py > "$fresh/music21.tsv"
  diff -u music21.tsv "$fresh/music21.tsv"
else
  echo "music21 cannot be had here: skipped"
fi
if node -e 'require("tonal")' 2>/dev/null; then
  node tonal_table.cjs > "$fresh/tonal.tsv"
  diff -u tonal.tsv "$fresh/tonal.tsv"
else
  echo "tonal cannot be had here: skipped"
fi
