#!/usr/bin/env bash
# Takes the charts from the corpus anew and compares them with those that the bench reads.
set -euo pipefail
diff charts.tsv <("${PYTHON:-python3}" extract.py)
