#!/usr/bin/env bash
# Measures what the speed promises name, each beside a neighbour measured in the same run: B=build tests/bench/run.sh
set -u
cd "$(dirname "$0")/../.." || exit 1
B=${B:-build}
export B STROKEWRIGHT=$PWD/$B/strokewright LC_ALL=C.UTF-8
for bench in "$B"/tests/bench/*; do [ -x "$bench" ] && "$bench"; done
for bench in tests/bench/*.sh; do
    [ "$bench" = tests/bench/run.sh ] || bash "$bench"
done
