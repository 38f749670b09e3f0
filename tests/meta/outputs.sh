#!/usr/bin/env bash
# Every output by its name: alone in a folder, alone on standard output, the same bytes both ways and a second time, and
# whole when all are asked for at once. Names come from the command's own help, kinds of file from their first bytes.
set -u
cd "$(dirname "$0")/../.." || exit 1
tool=$STROKEWRIGHT lid=recipes/demo/river-logger-lid.recipe
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
passed=0 failed=0

expect() { # what, command that must succeed
    local what=$1
    shift
    if "$@"; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "not so: $what"; fi
}
begins() { # file: with what its name promises
    case $1 in
    *.pdf) [ "$(head -c 5 "$1")" = %PDF- ] ;;
    *.svg) head -c 200 "$1" | grep -q '<svg' ;;
    *.html) [ "$(head -c 15 "$1")" = '<!DOCTYPE html>' ] ;;
    *.json) [ "$(head -c 1 "$1")" = '{' ] ;;
    *.dot) grep -q '^digraph' "$1" ;;
    *) [ -s "$1" ] ;;
    esac
}

names=$("$tool" build --help | sed '1,/^Outputs:/d' | awk '{ print $1 }')
"$tool" build "$lid" --out "$scratch/all" >"$scratch/said" 2>&1
expect 'there are outputs' [ "$(wc -w <<<"$names")" -ge 15 ]
expect 'all of them are written at once' [ "$(find "$scratch/all" -type f | wc -l)" -eq "$(wc -w <<<"$names")" ]
expect 'and told' [ "$(grep -c "$scratch/all/" "$scratch/said")" -eq "$(wc -w <<<"$names")" ]
for name in $names; do
    expect "$name: the manual knows it" grep -qE "^\.Cm (.* )?$name( |$)" compiler/cli/man/strokewright.1
    "$tool" build "$lid" --only "$name" --out "$scratch/$name" >/dev/null 2>&1
    expect "$name: one file" [ "$(find "$scratch/$name" -type f | wc -l)" -eq 1 ]
    file=$(find "$scratch/$name" -type f)
    expect "$name: is what it says" begins "$file"
    expect "$name: as among all" cmp -s "$file" "$scratch/all/${file##*/}"
    LC_ALL=C TZ=Asia/Tokyo "$tool" build "$lid" --only "$name" --out - >"$scratch/out" 2>/dev/null
    expect "$name: the same on standard output" cmp -s "$file" "$scratch/out"
done
refused() { # arguments: nothing written, status 2, and every name told
    local said status
    said=$("$tool" build "$lid" --out "$scratch/none" "$@" 2>&1)
    status=$?
    [ $status -eq 2 ] && [ ! -e "$scratch/none" ] && for name in $names; do grep -qw -- "$name" <<<"$said" || return 1; done
}
expect 'an unknown name is refused with those there are' refused --only travelers
expect 'so is one among known ones' refused --only traveller,steps,travelers
expect 'so is an empty one' refused --only traveller,,steps
"$tool" build "$lid" --only report,flow --out "$scratch/two" >/dev/null 2>&1
expect 'two names, two files' [ "$(find "$scratch/two" -type f | wc -l)" -eq 2 ]
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
