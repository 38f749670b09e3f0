#!/usr/bin/env bash
# What `make install` puts under a root of its own works there, pages included, and `make uninstall` takes it all out.
set -u
root=$(mktemp -d) || exit 1
trap 'rm -rf "$root"' EXIT
passed=0 failed=0

expect() { # what, command...
    local what=$1 said
    shift
    if said=$("$@" 2>&1); then passed=$((passed + 1)); else failed=$((failed + 1)) && printf '%s\n%s\n' "$what" "$said"; fi
}
# -o all: the build under test as it is, whatever its flags were.
make_it() { env -u MAKEFLAGS -u MFLAGS -u MAKELEVEL make -o all "$1" B="$B" DESTDIR="$root" PREFIX=/usr; }

expect 'make install fails' make_it install
share=$root/usr/share/strokewright tool=$root/usr/bin/strokewright
expect 'the installed command does not build the installed demo' \
    "$tool" build "$share/demo/river-logger-lid.recipe" --out "$root/out"
expect 'it writes no traveller' grep -q '^%PDF' "$root/out/traveller.pdf"
for file in share/man/man1/strokewright.1 share/man/man5/strokewright-recipe.5 share/bash-completion/completions/strokewright \
    share/strokewright/step-table.schema.json share/strokewright/LANGUAGE.md; do
    expect "$file is not installed" test -s "$root/usr/$file"
done
# shellcheck disable=SC1091
expect 'the completion does not load' bash -c ". '$root/usr/share/bash-completion/completions/strokewright'"
expect 'make uninstall fails' make_it uninstall
expect 'make uninstall leaves files' test -z "$(find "$root/usr" -type f)"
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
