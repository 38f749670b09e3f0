#!/usr/bin/env bash
# Adds up what tests/run.sh left in the builds named, and prints the sum alone in the last line.
set -u
cd "$(dirname "$0")/.." || exit 1
passed=0 failed=0
for build in "$@"; do
    read -r good bad <"$build/tally" || exit 1
    passed=$((passed + good)) failed=$((failed + bad))
done
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
