#!/usr/bin/env bash
# Delivers takes and has the parcels read by zipfile, libsndfile, scipy and wavinfo, the loudness measured by
# pyloudnorm, and the heads by sox where it can be had.
set -euo pipefail
fresh=$(mktemp -d)
trap 'rm -rf "$fresh"' EXIT
(cd ../../.. && cargo run -q --example stems -- "$fresh")
"${PYTHON:-python3}" read.py "$fresh"
