#!/usr/bin/env bash
# Whatever is made of a recipe says of which: its fingerprint stands on every output, and on every page of the papers.
set -u
cd "$(dirname "$0")/../.." || exit 1
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
export SOURCE_DATE_EPOCH=1795564800
passed=0 failed=0

expect() { # what is wrong, command
    local what=$1
    shift
    if "$@"; then passed=$((passed + 1)); else failed=$((failed + 1)) && echo "$what"; fi
}

pages_with() { # file, words -> pages that have them, and pages
    pdftotext -layout "$1" - | awk -v words="$2" 'BEGIN { RS = "\f" } NF { pages++; on += index($0, words) > 0 } END { print on + 0, pages + 0 }'
}

for recipe in recipes/demo/*.recipe; do
    out=$scratch/$(basename "$recipe" .recipe)
    whole=$("$STROKEWRIGHT" fingerprint "$recipe") first=${whole:0:12}
    expect "the fingerprint of $recipe is '$whole'" grep -qxE '[0-9a-f]{64}' <<<"$whole"
    "$STROKEWRIGHT" build "$recipe" --out "$out" >/dev/null 2>&1
    for file in "$out"/*; do
        case $file in
        *.pdf)
            read -r on pages < <(pages_with "$file" "$first")
            expect "$file: $on of $pages pages have the fingerprint" [ "$on" -eq "$pages" ]
            ;;
        *.csv)
            expect "$file: a line without it" [ "$(grep -c ",$whole"$'\r$' "$file")" -eq $(($(wc -l <"$file") - 1)) ]
            ;;
        *) expect "$file does not have the fingerprint" grep -q "$first" "$file" ;;
        esac
    done
    expect "$recipe made few outputs" [ "$(find "$out" -type f | wc -l)" -ge 14 ]
done
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
