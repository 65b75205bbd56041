#!/usr/bin/env bash
# Writes MusicXML files, validates them against the published schema of MusicXML 4.0 (W3C Music Notation Community
# Group, as the package musicxml carries it) and has music21 and verovio read them.
set -euo pipefail
fresh=$(mktemp -d)
trap 'rm -rf "$fresh"' EXIT
(cd ../../.. && cargo run -q --example exports -- "$fresh")
"${PYTHON:-python3}" read.py "$fresh"
