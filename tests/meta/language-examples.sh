#!/usr/bin/env bash
# The examples of grammar/LANGUAGE.md are accepted. The first block marked ```recipe is a whole recipe; each further one is
# checked together with it. An error is a failure; warnings and notes are not.
set -u
cd "$(dirname "$0")/../.." || exit 1
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT

awk -v to="$scratch" '
    /^```recipe$/ { file = sprintf("%s/%02d.recipe", to, ++n); next }
    /^```$/       { file = "" }
    file          { print > file }' grammar/LANGUAGE.md

passed=0 failed=0
for block in "$scratch"/*.recipe; do
    together=$block
    if [ "$block" != "$scratch/01.recipe" ]; then
        together=$scratch/together
        cat "$scratch/01.recipe" "$block" >"$together"
    fi
    if output=$("$STROKEWRIGHT" check "$together" 2>&1); then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        printf 'example %d is not accepted:\n%s\n' "$((passed + failed))" "$output"
    fi
done
echo "$passed passed, $failed failed"
[ $failed -eq 0 ] && [ $passed -gt 5 ]
