#!/usr/bin/env bash
# Kinds, properties and derived values are named in compiler/model/schema.def and in the library, not in C: what the program
# asks for it finds by what a value is for (compiler/model/purposes.def). A line of C that names one all the same stands
# here with its reason; there are at most ten.
set -u
cd "$(dirname "$0")/../.." || exit 1
passed=0 failed=0

say() { # what is wrong; nothing when all is well
    if [ -z "$1" ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "$1"
    fi
}

kinds=$(sed -n 's/^KIND(\([a-z_]*\),.*/\1/p' compiler/model/schema.def | paste -sd'|')
values=$( (sed -n 's/^PROPERTY([a-z_]*, "\([a-z-]*\)".*/\1/p' compiler/model/schema.def
    sed -n 's/^    \([a-z][a-z0-9-]*\) \(\[[^]]*\] \)\?=.*/\1/p' recipes/library/*.recipe) | grep - | grep -vxE 'at-least|at-most' | sort -u | paste -sd'|') # two are lines of limits
lookups='quantity_of|find_property|property_named'
naming() { # lines of C that name a kind or a value of the trade
    git grep -nE "\bKIND_($kinds)\b|\"($values)\"|\b($lookups)\([^\"]*\"[a-z-]+\"" -- 'compiler/*.[ch]' 'runtime/*.[ch]' 'grammar/*.[ch]' |
        grep -vE '^[^:]*:[0-9]*: *(/\*|\*)' # comments
}

# file, a part of the line: reason
allowed() {
    cat <<'LIST'
compiler/model/names.c	return find_sole(s, KIND_recipe, &many);	what a file is about is the language's own notion
LIST
}

while IFS=$'\t' read -r file part reason; do
    say "$({ git grep -qF "$part" -- "$file" && [ -n "$reason" ]; } || echo "$file: '$part' is allowed and is not there, or has no reason")"
done < <(allowed)
say "$([ "$(allowed | wc -l)" -le 10 ] || echo 'more than ten lines are allowed')"
found=$(naming | grep -vFf <(allowed | cut -f2))
say "${found:+named in C; find it by what it is for, or say why here:$'\n'$found}"

# What the test sees: each of these lines.
seen=$(printf '%s\n' 'if (kind == KIND_stroke)' 'x = quantity_of(s, id, "hold");' 'static const char *n[] = {"cold-tool-size"};' |
    grep -cE "\bKIND_($kinds)\b|\"($values)\"|\b($lookups)\([^\"]*\"[a-z-]+\"")
say "$([ "$seen" = 3 ] || echo "$seen of 3 planted lines are seen")"

echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
