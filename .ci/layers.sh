#!/usr/bin/env bash
# Checks the layer rule: who may include whom. Prints each include that breaks it and exits 1 if there is one.
#
# The folders stand in one line. A file includes its own folder and folders further up in the table below; what stands
# between bars stands side by side, and none of it includes the other. A folder's subfolders are parts of it.
# `.ci/layers.sh --self-test` plants one offence of each kind and checks that it is found.
set -u
cd "$(dirname "$0")/.." || exit 1

order='
runtime/base
runtime
compiler/text
compiler/model | grammar
compiler/lower
compiler/judge
compiler/table
compiler
compiler/emit | compiler/review | compiler/readings | compiler/editor | compiler/tools
compiler/cli
'

# Exceptions: what else a folder may include (an extended regular expression), and why.
exceptions='
grammar         compiler/model/syntax\.h                   the tree it builds
compiler/model  grammar/(parse|scan|words)\.h              parses and scans through these
compiler/review compiler/emit/(json|columns|escape)\.h     one writer of JSON, of tables and of escapes
compiler/readings compiler/emit/(json|columns|escape)\.h   the same
compiler/editor compiler/emit/(json|escape)\.h             the same
'

check() { # prints offences under the current directory
    grep -rnoE --include='*.[chly]' --include='*.def' '^ *# *include "[^"]*/[^"]*"' runtime grammar compiler 2>/dev/null |
        awk -v order="$order" -v exceptions="$exceptions" '
        function room(path, dir) { # the longest folder of the table that the path stands in
            for (dir = path; sub(/\/[^\/]*$/, "", dir);)
                if (dir in rank) return dir
            return ""
        }
        BEGIN {
            for (n = split(order, rows, "\n"); i < n;)
                for (m = split(rows[++i], side, " *[|] *"); m > 0; m--) rank[side[m]] = i
            for (n = split(exceptions, rows, "\n"); n > 0; n--)
                if (split(rows[n], word, " +") > 1) also[word[1]] = word[2]
        }
        {
            split($0, part, ":")
            from = part[1]
            to = $0
            sub(/^[^"]*"/, "", to)
            sub(/".*/, "", to)
            here = room(from)
            there = room(to)
            if (here == "" || (here == "compiler" && from ~ /\/.*\//)) { print from ": stands in no folder of the layers: name it in .ci/layers.sh"; next }
            if (here == there || (there != "" && rank[there] < rank[here])) next
            if ((here in also) && to ~ "^" also[here] "$") next
            print from ":" part[2] ": may not include \"" to "\""
        }'
}

self_test() { # one planted offence a line: file, what it includes
    local dir from to bad=0
    dir=$(mktemp -d) && cd "$dir" || exit 1
    while read -r from to; do
        rm -rf runtime grammar compiler
        mkdir -p "${from%/*}"
        echo "#include \"$to\"" >"$from"
        [ -n "$(check)" ] || { echo "self-test: $from including $to was not found"; bad=1; }
    done <<'OFFENCES'
runtime/base/text.c runtime/program.h
runtime/program.c compiler/text/unit.h
runtime/proof/proof.c grammar/scan.h
grammar/parse.c compiler/model/names.h
grammar/parse.c compiler/lower/lower.h
compiler/text/unit.c compiler/model/names.h
compiler/model/names.c grammar/lines.h
compiler/model/typing.c compiler/lower/lower.h
compiler/lower/lower.c compiler/judge/judge.h
compiler/judge/limits.c compiler/table/steps.h
compiler/table/steps.c compiler/recipe.h
compiler/emit/text.c compiler/review/why/why.h
compiler/review/why/text.c compiler/emit/text.h
compiler/tools/bind.c compiler/emit/json.h
compiler/emit/text.c compiler/cli/build.h
compiler/nowhere/new.c runtime/program.h
OFFENCES
    cd / && rm -rf "$dir"
    return $bad
}

if [ "${1-}" = --self-test ]; then
    self_test
    exit
fi
offences=$(check)
[ -z "$offences" ] || { echo "$offences"; exit 1; }
