#!/usr/bin/env bash
# Builds slowdawn, plans the ramp of an example tank as if it began today, and
# shows today's percentage. Installs what building needs if it is missing.
set -euo pipefail
cd "$(dirname "$0")/.."
. .ci/packages.sh
install_missing "${build_packages[@]}"

quietly() {
  local log
  log=$(mktemp)
  "$@" >"$log" 2>&1 || {
    cat "$log" >&2
    echo "error: this failed: $*" >&2
    rm -f "$log"
    exit 1
  }
  rm -f "$log"
}
echo "Building ..."
quietly cmake --preset release
quietly cmake --build --preset release

tank=examples/stairwell-reef/stairwell-reef.tank.json
show() {
  echo
  echo "\$ $*"
  "$@"
}
show build/release/slowdawn plan "$tank" --start "$(date +%F)"
show build/release/slowdawn today "$tank" --start "$(date +%F)"
