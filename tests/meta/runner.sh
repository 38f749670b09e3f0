#!/usr/bin/env bash
# The test runner's own test: failures of every kind must be seen and counted.
set -u
unset RELEASE
these=$(mktemp -d) || exit 1
trap 'rm -rf "$these"' EXIT
passed=0 failed=0

expect() { # what, script, wanted last line, wanted status
    rm -f "$these"/*
    printf '%s\n' "$2" >"$these/test.sh"
    last=$(RUN_THESE=$these bash tests/run.sh | tail -n 1; exit "${PIPESTATUS[0]}")
    if [ "$last/$?" = "$3/$4" ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "$1: said \"$last\", wanted \"$3\""
    fi
}

expect 'status alone, good' 'exit 0' '1 passed, 0 failed' 0
expect 'status alone, bad' 'exit 1' '0 passed, 1 failed' 1
expect 'killed' 'kill -SEGV $$' '0 passed, 1 failed' 1
expect 'libcheck, good' 'echo "100%: Checks: 6, Failures: 0, Errors: 0"' '6 passed, 0 failed' 0
expect 'libcheck, bad' 'echo "66%: Checks: 6, Failures: 1, Errors: 1"; exit 1' '4 passed, 2 failed' 1
expect 'libcheck, nothing run' 'echo "100%: Checks: 0, Failures: 0, Errors: 0"' '0 passed, 1 failed' 1
expect 'a count that hides a failing status' 'echo "3 passed, 0 failed"; exit 1' '3 passed, 1 failed' 1
expect 'a failing count that hides behind status 0' 'echo "3 passed, 2 failed"' '3 passed, 2 failed' 1
expect 'a sanitizer report after a good count' 'echo "3 passed, 0 failed"; kill -ABRT $$' '3 passed, 1 failed' 1
warning='echo "warning: odd"; echo "3 passed, 0 failed"'
expect 'a warning' "$warning" '3 passed, 0 failed' 0
RUN_THESE=$these bash tests/run.sh | grep -q 'warning: odd' && passed=$((passed + 1)) || { failed=$((failed + 1)); echo 'a warning is not shown'; }
RELEASE=1 expect 'a warning before a release' "$warning" '3 passed, 1 failed' 1
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
