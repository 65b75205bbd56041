#!/usr/bin/env bash
# Counts anew by an implementation outside the crate and compares with the figures that the Rust tests read.
set -euo pipefail
diff counts.txt <("${PYTHON:-python3}" counts.py)
