#!/usr/bin/env bash
# Every formula and derived value of the library that names a source is held against something outside it, and the table of
# DEVELOPERS.md names the checks that are there.
set -u
cd "$(dirname "$0")/../.." || exit 1
passed=0 failed=0

say() { # what is wrong; nothing: all is well
    if [ -z "$1" ]; then passed=$((passed + 1)); else failed=$((failed + 1)) && echo "$1"; fi
}

# Those with a source: "formula NAME" or "derived NAME". A statement ends where the next begins or at a blank line.
sourced() { # library files
    awk '
        function done() { if (name != "" && has) print what, name; name = "" }
        /^formula /                                { done(); what = "formula"; split($2, part, "("); name = part[1]; has = 0 }
        /^(    )?[a-z][a-z0-9-]*( \[[^\]]*\])? = / { done(); what = "derived"; name = $1; has = 0 }
        /^(let|derive|limit|caution|alloy|tool-material|lubricant|sensor) / { done() }
        /^ *#/                                     { next }
        /(^|[ )])source "/                         { has = 1 }
        /^$/                                       { done() }
        END                                        { done() }' "$@" | sort -u
}

checked() { # formula or derived, name
    if [ "$1" = formula ]; then
        grep -qE "(^|[^a-z0-9.-])$2\(" tests/reference/*.recipe
    else
        cut -f 1 tests/reference/*.tsv | grep -qE "\.$2\$" || grep -qE "[\".]$2\"" tests/reference/apart.py
    fi
}

laws=(recipes/library/{expansion,forming,heat,heated-tools,press,tolerances,magnesium}.recipe)
count=0
while read -r what name; do
    count=$((count + 1))
    say "$(checked "$what" "$name" || echo "the $what $name names a source and nothing in tests/reference asks for it")"
done < <(for f in "${laws[@]}"; do
    case $f in
    *magnesium*) sourced "$f" | grep '^formula' ;; # the rest are figures
    *) sourced "$f" ;;
    esac
done)
[ $count -ge 70 ] || say "only $count formulas with a source were found"

# The table and the files it speaks of.
table=$(sed -n '/^| quantity | law/,$p' DEVELOPERS.md)
[ -n "$table" ] || say "the table of formulas is gone from DEVELOPERS.md"
for file in $(grep -oE '`[a-z_-]+\.(tsv|c|sh|py|txt)`' <<<"$table" | tr -d '`' | sort -u); do
    say "$([ -e "tests/reference/$file" ] || [ -e "runtime/$file" ] || echo "the table of DEVELOPERS.md names $file, which is not there")"
done
for file in tests/reference/*.tsv tests/reference/*.c tests/reference/apart.py tests/reference/trade_facts.sh; do
    say "$(grep -qF "\`${file##*/}\`" <<<"$table" || echo "$file is not in the table of DEVELOPERS.md")"
done
for file in recipes/library/*.recipe; do
    grep -q '^\(formula\|derive\) ' "$file" || continue
    say "$(grep -qF "\`${file##*/}\`" <<<"$table" || echo "$file has formulas and is not in the table of DEVELOPERS.md")"
done

# What is checked here can fail.
say "$(! checked formula no-such-formula || echo 'a formula that is not asked for counts as checked')"
say "$(! checked derived no-such-value || echo 'a value that is not asked for counts as checked')"
say "$(printf 'formula a(b [1]) [1] =\n    b\n    source "x"\n\nformula c(d [1]) [1] = d\n' | sourced | tr '\n' ' ' | grep -qx 'formula a ' ||
    echo 'formulas with a source are not found')"
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
