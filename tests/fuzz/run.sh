#!/usr/bin/env bash
# Feeds each fuzz target hostile recipes: B=build-fuzz tests/fuzz/run.sh SECONDS
#
# Starts from the files of tests/fuzz/TARGET/, or, where there is no such folder, from all recipes of the repository and
# every input of tests/golden. As many targets as there are processors run side by side. A crash, a sanitizer report, a leak, an
# input that takes over 25 s (instrumented; about one second of the program itself) or over 2 GB ends the run; the input is kept in $B/fuzz/TARGET/.
set -u
cd "$(dirname "$0")/../.." || exit 1
B=${B:-build-fuzz}
seconds=${1:-60}
passed=0 failed=0

export LSAN_OPTIONS=suppressions=$PWD/tests/leaks.supp:print_suppressions=0

seeds() { # folder, target: under names made from their bytes
    local file
    while IFS= read -r -d '' file; do
        cp "$file" "$1/$(cksum <"$file" | tr ' ' -)"
    done < <(if [ -d "tests/fuzz/$2" ]; then
        find "tests/fuzz/$2" -type f -print0
    else
        find recipes tests/golden -type f -name '*.recipe' -print0
    fi)
}

fuzz() { # target: its log, and how it ended, in $B/fuzz/NAME/
    local name=${1##*/fuzz_} words=(-dict=tests/fuzz/words.dict)
    local work=$B/fuzz/$name
    rm -rf "$work/seeds" "$work/status"
    mkdir -p "$work/corpus" "$work/seeds"
    seeds "$work/seeds" "$name"
    [ ! -d "tests/fuzz/$name" ] || words=()
    "$1" "$work/corpus" "$work/seeds" "${words[@]}" -max_total_time="$seconds" -timeout=25 -rss_limit_mb=2048 \
        -max_len=16384 -artifact_prefix="$work/" -print_final_stats=1 >"$work/log" 2>&1
    echo $? >"$work/status"
}

for target in "$B"/tests/fuzz/fuzz_*; do
    [ -x "$target" ] || continue
    while [ "$(jobs -pr | wc -l)" -ge "$(nproc)" ]; do wait -n; done
    fuzz "$target" &
done
wait

for target in "$B"/tests/fuzz/fuzz_*; do
    [ -x "$target" ] || continue
    work=$B/fuzz/${target##*/fuzz_}
    echo "fuzz ${target##*/fuzz_}: $(find "$work/seeds" -type f | wc -l) seeds, $seconds s"
    if [ "$(cat "$work/status")" = 0 ]; then
        passed=$((passed + 1))
        grep -E '^stat::(number_of_executed_units|average_exec_per_sec|peak_rss_mb)|^#[0-9]+.*DONE' "$work/log"
    else
        failed=$((failed + 1))
        tail -n 60 "$work/log"
    fi
done
echo "$passed passed, $failed failed"
[ $failed -eq 0 ] && [ $passed -gt 0 ]
