#!/usr/bin/env bash
# Installs what testing needs if it is missing, builds, and runs every test.
#   bash tests/run.sh [PRESET]     PRESET: test (default), sanitize, coverage, debug
set -euo pipefail
cd "$(dirname "$0")/.."
. .ci/packages.sh
preset=${1:-test}
packages=("${build_packages[@]}" "${test_packages[@]}")
[ "$preset" = coverage ] && packages+=(gcovr)
# The pages are looked at in a browser with the fast program alone.
[ "$preset" = test ] && packages+=("${browser_packages[@]}")
install_missing "${packages[@]}"
if [ "$preset" = test ]; then
  . tests/browser/install.sh
  install_browser_packages
fi

log=$(mktemp)
trap 'rm -f "$log"' EXIT
echo "Building $preset ..."
{ cmake --preset "$preset" && cmake --build --preset "$preset"; } >"$log" 2>&1 || {
  cat "$log" >&2
  echo "error: the build failed" >&2
  exit 1
}
if [ "$preset" = test ] && ! ctest --preset test -N | grep -E ': browser$' >/dev/null; then
  echo "error: the browser tests are left out; CMake did not find chromium, node or packages" >&2
  exit 1
fi
if [ "$preset" = coverage ]; then
  find build/coverage -name '*.gcda' -delete
  ctest --preset coverage -j "$(nproc)" --output-log "$log" >/dev/null || { cat "$log"; exit 1; }
  gcovr --root . --filter src/ --filter include/ --exclude-throw-branches build/coverage
  tail -n 8 "$log"
else
  ctest --preset "$preset" -j "$(nproc)"
fi
if [ "$preset" = test ]; then echo "The pages, to be looked at: build/test/pages"; fi
