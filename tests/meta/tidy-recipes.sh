#!/usr/bin/env bash
# The recipes of the repository, and the examples of the language reference, stand in the one form that tidy gives.
set -u
cd "$(dirname "$0")/../.." || exit 1
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
passed=0 failed=0

expect() { # what is wrong, command
    local what=$1
    shift
    if "$@"; then passed=$((passed + 1)); else failed=$((failed + 1)) && echo "$what"; fi
}

while IFS= read -r -d '' recipe; do
    expect "$recipe is not tidy: strokewright tidy --write $recipe" "$STROKEWRIGHT" tidy --check "$recipe"
done < <(find recipes -name '*.recipe' -print0 | sort -z)

awk -v to="$scratch" '
    /^```recipe$/ { file = sprintf("%s/%02d.recipe", to, ++n); next }
    /^```$/       { file = "" }
    file          { print > file }' grammar/LANGUAGE.md
for block in "$scratch"/*.recipe; do
    expect "an example of grammar/LANGUAGE.md is not tidy" "$STROKEWRIGHT" tidy --check "$block"
done

# A check that finds nothing wrong with anything proves nothing.
printf 'sheet {\n  alloy=az31b-o\n}\n' >"$scratch/loose"
untidy() { ! "$STROKEWRIGHT" tidy --check "$1" >/dev/null; }
expect 'a loose recipe passes for tidy' untidy "$scratch/loose"
echo "$passed passed, $failed failed"
[ $failed -eq 0 ] && [ $passed -gt 20 ]
