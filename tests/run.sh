#!/usr/bin/env bash
# Runs every test of one build and counts: B=build tests/run.sh [unit|reference|golden|meta]...
#
# A test is a program or script that says how it went in its last line, "100%: Checks: 6, Failures: 0, Errors: 0"
# (libcheck) or "6 passed, 0 failed", or only by its exit status, which then counts as one. A test that fails shows its
# whole output. A program that ran no check at all has failed, and so has one whose status and count disagree.
# A line "warning: ..." of a test that passes is shown; with RELEASE=1 it counts as a failure.
# A test gets TEST_SECONDS (600), of one program of libcheck each test CK_DEFAULT_TIMEOUT (60).
# The sum stands in $B/tally, and alone in the last line.
set -u
cd "$(dirname "$0")/.." || exit 1
B=${B:-build}
only=" $* "
# libcheck's own four seconds are not enough on a machine that does other things beside.
export CK_DEFAULT_TIMEOUT=${CK_DEFAULT_TIMEOUT:-60}
export B STROKEWRIGHT=$PWD/$B/strokewright LC_ALL=C.UTF-8 NO_COLOR=1
export ASAN_OPTIONS=detect_leaks=1:abort_on_error=1 UBSAN_OPTIONS=print_stacktrace=1
export LSAN_OPTIONS=suppressions=$PWD/tests/leaks.supp:print_suppressions=0
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
passed=0 failed=0

count() { # file with output, exit status -> "passed failed"
    local line checks failures errors
    line=$(tac "$1" | grep -m 1 -E '^[0-9]+%: Checks: |^[0-9]+ passed, [0-9]+ failed')
    case $line in
    *Checks:*)
        read -r checks failures errors < <(sed -E 's/.*Checks: ([0-9]+), Failures: ([0-9]+), Errors: ([0-9]+).*/\1 \2 \3/' <<<"$line")
        echo $((checks - failures - errors)) $((failures + errors))
        ;;
    *passed*) sed -E 's/^([0-9]+) passed, ([0-9]+) failed.*/\1 \2/' <<<"$line" ;;
    *) [ "$2" -eq 0 ] && echo 1 0 || echo 0 1 ;;
    esac
}

run() { # room, name, command...
    local room=$1 name=$2 good bad status before warnings
    shift 2
    [[ $only =~ ^\ *$ || $only == *" $room "* ]] || return
    before=$(date +%s%N)
    timeout "${TEST_SECONDS:-600}" "$@" >"$scratch/output" 2>&1 </dev/null
    status=$?
    read -r good bad < <(count "$scratch/output" $status)
    [ $((good + bad)) -gt 0 ] || bad=1
    [ $status -eq 0 ] || [ "$bad" -gt 0 ] || bad=1
    warnings=$(grep -c '^warning: ' "$scratch/output")
    [ -z "${RELEASE:-}" ] || bad=$((bad + warnings))
    passed=$((passed + good)) failed=$((failed + bad))
    if [ "$bad" -eq 0 ]; then
        printf '  ok     %-10s %-28s %5d checks %7d ms\n' "$room" "$name" "$good" $((($(date +%s%N) - before) / 1000000))
        sed -n 's/^warning: /  &/p' "$scratch/output"
    else
        printf '  FAILED %-10s %-28s %5d of %d, status %d\n' "$room" "$name" "$bad" $((good + bad)) $status
        sed 's/^/    | /' "$scratch/output"
    fi
}

run_all() {
    local test
    for test in "$B"/tests/unit/test_*; do [ -x "$test" ] && run unit "${test##*/test_}" "$test"; done
    for test in "$B"/tests/reference/*; do [ -x "$test" ] && run reference "${test##*/}" "$test"; done
    for test in tests/reference/*.sh; do [ -e "$test" ] && run reference "${test##*/}" bash "$test"; done
    run golden golden python3 tests/golden/run.py
    for test in tests/meta/*.sh; do [ -e "$test" ] && run meta "${test##*/}" bash "$test"; done
}

# The runner's own test sets this: a folder of scripts to count instead of the real ones.
if [ -n "${RUN_THESE:-}" ]; then
    for test in "$RUN_THESE"/*; do run these "${test##*/}" bash "$test"; done
else
    run_all
    echo "$passed $failed" >"$B/tally"
fi
echo "$passed passed, $failed failed"
[ $failed -eq 0 ] && [ $passed -gt 0 ]
