#!/usr/bin/env bash
# Fuzzes every door for input, each so many seconds, as many at once as there are cores.
#   bash tests/fuzz/run.sh [SECONDS] [FOLDER]     60, build/sanitize
# FOLDER is a build with SLOWDAWN_FUZZ (`bash tests/run.sh sanitize` makes one). It begins
# with the inputs of tests/fuzz/corpus and keeps what it finds out in FOLDER/fuzz. An input
# that fails stands there as TARGET-crash-... : put it into tests/fuzz/corpus/TARGET, where
# it is a test from then on.
set -euo pipefail
cd "$(dirname "$0")/../.."
seconds=${1:-60}
build=$(realpath "${2:-build/sanitize}")
work=$build/fuzz
mkdir -p "$work"
# The words of the formats, which chance alone would hardly spell.
grep -ohE '"[a-z_A-Z0-9/-]+"' src/tank/*.schema.json | sort -u >"$work/words.dict"

fuzz_one() {
  local name=$1 seconds=$2 build=$3 work=$4
  local log=$work/$name.log
  mkdir -p "$work/$name"
  if "$build/fuzz_$name" -max_total_time="$seconds" -timeout=30 -rss_limit_mb=4096 \
    -dict="$work/words.dict" -artifact_prefix="$work/$name-" -print_final_stats=1 \
    "$(realpath "$work/$name")" "$(realpath "tests/fuzz/corpus/$name")" >"$log" 2>&1; then
    awk -v name="$name" '/number_of_executed_units/ {runs = $2} /cov:/ {for (i = 1; i < NF; ++i)
      if ($i == "cov:") reached = $(i + 1)}
      END {printf "%-13s %9d inputs tried, %6d edges reached\n", name, runs, reached}' "$log"
  else
    tail -n 60 "$log" >&2
    echo "error: $name: an input fails; it stands in $work" >&2
    return 1
  fi
}
export -f fuzz_one
names=$(cd "$build" && ls fuzz_* | sed 's/^fuzz_//')
[ -n "$names" ] || { echo "error: there is nothing to fuzz in $build" >&2; exit 1; }
printf '%s\n' $names | xargs -P "$(nproc)" -I '{}' bash -c "fuzz_one {} $seconds $build $work"
