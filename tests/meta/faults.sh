#!/usr/bin/env bash
# Every fault has a golden case whose whole message is expected, and every expected message is of a fault there is.
set -u
passed=0 failed=0
slugs=$(grep -oE '^FAULT\([a-z0-9_]+, "[a-z0-9-]+"' compiler/text/faults.def | sed -E 's/.*"(.*)"/\1/')
# A source line that is shown may end in brackets too.
expected=$(cat tests/golden/*/expected | grep -E '(error|warning|note): ' | grep -oE '\[[a-z0-9-]+\]$' | tr -d '[]' | sort -u)

for slug in $slugs; do
    if grep -qx -- "$slug" <<<"$expected"; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "no golden case shows the fault $slug"
    fi
done
while read -r slug; do
    [ -z "$slug" ] || grep -qx -- "$slug" <<<"$slugs" || { failed=$((failed + 1)); echo "expected, but in no row of faults.def: $slug"; }
done <<<"$expected"
[ "$(sort <<<"$slugs" | uniq -d)" = '' ] || { failed=$((failed + 1)); echo 'a slug stands twice in faults.def'; }
[ "$passed" -ge 40 ] || { failed=$((failed + 1)); echo "only $passed faults have a case"; }
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
