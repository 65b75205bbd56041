#!/usr/bin/env bash
# Serves dist/ on this machine; PORT chooses the port (8000 and up when it is taken).
set -euo pipefail
# shellcheck source=tools/env.sh
. "$(dirname "$0")/env.sh"

command -v node >/dev/null && exec node "$root/tools/serve.mjs" "${DIST:-$root/dist}" "${PORT:-8000}"
command -v python3 >/dev/null || fail "serve: needs node or python3; or point any static web server at dist/"
say "Leadbar: http://127.0.0.1:${PORT:-8000}/"
exec python3 -m http.server "${PORT:-8000}" --bind 127.0.0.1 -d "${DIST:-$root/dist}"
