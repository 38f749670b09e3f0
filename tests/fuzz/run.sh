#!/usr/bin/env bash
# Feeds each fuzz target hostile recipes: B=build-fuzz tests/fuzz/run.sh SECONDS
#
# Starts from all recipes of the repository and every input of tests/golden. A crash, a sanitizer report, a leak, an
# input that takes over 10 s or over 2 GB ends the run; the input is kept in $B/fuzz/TARGET/.
set -u
cd "$(dirname "$0")/../.." || exit 1
B=${B:-build-fuzz}
seconds=${1:-60}
passed=0 failed=0

seeds() { # folder: every recipe, under a name made from its bytes
    local file
    while IFS= read -r -d '' file; do
        cp "$file" "$1/$(cksum <"$file" | tr ' ' -)"
    done < <(find recipes tests/golden tests/fuzz -type f -name '*.recipe' -print0)
}

for target in "$B"/tests/fuzz/fuzz_*; do
    [ -x "$target" ] || continue
    name=${target##*/fuzz_}
    work=$B/fuzz/$name
    mkdir -p "$work/corpus" "$work/seeds"
    seeds "$work/seeds"
    words=()
    [ -e tests/fuzz/words.dict ] && words=(-dict=tests/fuzz/words.dict)
    echo "fuzz $name: $(find "$work/seeds" -type f | wc -l) seeds, $seconds s"
    if "$target" "$work/corpus" "$work/seeds" "${words[@]}" -max_total_time="$seconds" -timeout=10 -rss_limit_mb=2048 \
        -max_len=16384 -artifact_prefix="$work/" -print_final_stats=1 >"$work/log" 2>&1; then
        passed=$((passed + 1))
        grep -E '^stat::(number_of_executed_units|average_exec_per_sec|peak_rss_mb)|^#[0-9]+.*DONE' "$work/log"
    else
        failed=$((failed + 1))
        tail -n 60 "$work/log"
    fi
done
echo "$passed passed, $failed failed"
[ $failed -eq 0 ] && [ $passed -gt 0 ]
