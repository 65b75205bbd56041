#!/usr/bin/env bash
# Delivers takes and has the parcels read by zipfile, libsndfile, scipy and wavinfo, the loudness measured by
# pyloudnorm, and the heads by sox where it can be had.
set -euo pipefail
fresh=$(mktemp -d)
trap 'rm -rf "$fresh"' EXIT
(cd ../../.. && cargo run -q --example stems -- "$fresh")
if ! command -v soxi >/dev/null && [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends sox >/dev/null 2>&1 || true
fi
"${PYTHON:-python3}" read.py "$fresh"
