#!/usr/bin/env bash
# Every PDF held to PDF/UA-1 (ISO 14289-1:2014) by a checker of its own, pdf_ua.py, which must notice a planted fault of
# each rule. The papers of the demos, in other letters and on other paper too, and those of step tables that are long, empty and
# full of strange words.
set -u
cd "$(dirname "$0")/../.." || exit 1
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
passed=0 failed=0

holds() { # arguments of the checker
    local said
    if said=$(/usr/bin/python3 tests/reference/pdf_ua.py "$@" 2>&1); then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        head -20 <<<"$said"
    fi
}

for sample in lid long empty '<&\"'; do
    dir=$(mktemp -d "$scratch/sample-XXXX")
    "$B"/tests/unit/test_emit_pages --write "$dir" "$sample" || failed=$((failed + 1))
done
for recipe in recipes/demo/*.recipe; do
    for language in en ja; do
        "$STROKEWRIGHT" build "$recipe" --out "$scratch/$(basename "$recipe" .recipe)-$language" --lang $language \
            --only traveller,tool-sheet,inspection >/dev/null 2>&1
    done
    "$STROKEWRIGHT" build "$recipe" --out "$scratch/$(basename "$recipe" .recipe)-letter" --paper letter \
        --only traveller,tool-sheet,inspection >/dev/null 2>&1
done
for file in "$scratch"/*/*.pdf; do holds "$file"; done
holds --planted "$scratch/river-logger-lid-en/traveller.pdf"
echo "$passed passed, $failed failed"
[ $failed -eq 0 ] && [ $passed -ge 40 ]
