#!/usr/bin/env bash
# Installs what testing needs if it is missing, builds, and runs every test.
#   bash tests/run.sh [PRESET]
#     test      with the fast program, and the pages in a browser (default)
#     sanitize  by clang++, under address and undefined-behaviour sanitizers; then which lines and
#               branches of the trade's rooms their tests ran
#     valgrind  the end-to-end tests with the program under valgrind; takes hours, with
#               SLOWDAWN_VALGRIND_EVERY=10 for every tenth call the better part of one
#     debug     each file by itself, without optimisation
set -euo pipefail
cd "$(dirname "$0")/.."
. .ci/packages.sh
preset=${1:-test}
packages=("${build_packages[@]}" "${test_packages[@]}")
case $preset in
  # The pages are looked at in a browser with the fast program alone.
  test) packages+=("${browser_packages[@]}") ;;
  sanitize) packages+=("${sanitize_packages[@]}") ;;
  valgrind) packages+=(valgrind) ;;
esac
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
if [ "$preset" = test ]; then echo "The pages, to be looked at afterwards: build/test/pages"; fi
rm -rf "build/$preset/profiles"
ctest --preset "$preset" -j "$(nproc)"
if [ "$preset" = sanitize ]; then python3 tests/coverage.py build/sanitize; fi
