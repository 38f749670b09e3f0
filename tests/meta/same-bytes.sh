#!/usr/bin/env bash
# The same recipe gives the same bytes: however its file is named, from whatever folder the command runs, and whichever
# compiler the program was built with, for C leaves open in which order the arguments of a call are worked out.
set -u
cd "$(dirname "$0")/../.." || exit 1
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
passed=0 failed=0 here=$PWD

same() { # what, folder, folder
    local different
    different=$(diff -rq "$2" "$3" 2>&1)
    if [ -z "$different" ] && [ "$(find "$2" -type f | wc -l)" -ge 15 ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        printf 'not the same %s:\n%s\n' "$1" "$different"
    fi
}
build() { # program, FILE, folder, options...
    local program=$1 file=$2 folder=$3
    shift 3
    "$program" build "$file" --out "$folder" "$@" >/dev/null 2>"$scratch/said" || cat "$scratch/said"
}

lid=recipes/demo/river-logger-lid.recipe
build "$STROKEWRIGHT" "$lid" "$scratch/relative"
build "$STROKEWRIGHT" "$here/$lid" "$scratch/absolute"
build "$STROKEWRIGHT" "./recipes/../$lid" "$scratch/roundabout"
(cd recipes/demo && build "$STROKEWRIGHT" river-logger-lid.recipe "$scratch/near")
same 'by its whole path' "$scratch/relative" "$scratch/absolute"
same 'by a roundabout path' "$scratch/relative" "$scratch/roundabout"
same 'from its own folder' "$scratch/relative" "$scratch/near"

# Not optimized, for the order of evaluation is the same then; the sanitized room need not do it again.
if [ "$B" = build ]; then
    env -u MAKEFLAGS -u MFLAGS -u MAKELEVEL make CC=clang CFLAGS=-O0 B=build-clang build-clang/strokewright build-clang/strokewright-pages.so >"$scratch/made" 2>&1 ||
        tail "$scratch/made"
    for recipe in recipes/demo/*.recipe; do
        name=$(basename "$recipe" .recipe)
        for language in en ja; do
            build "$STROKEWRIGHT" "$recipe" "$scratch/gcc-$name-$language" --lang $language
            build "$here/build-clang/strokewright" "$recipe" "$scratch/clang-$name-$language" --lang $language
            same "by another compiler: $name, $language" "$scratch/gcc-$name-$language" "$scratch/clang-$name-$language"
        done
    done
fi
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
