#!/usr/bin/env bash
# Checks the layer rule: who may include whom. Prints each include that breaks it and exits 1 if there is one.
#
#   runtime/base   runtime/base
#   runtime        runtime
#   grammar        compiler's source, diagnostic and syntax headers, runtime/base;
#                  grammar/reference.c, which writes the language reference, any table it prints: unit, schema, functions, spreads
#                  and, beside it, grammar/reference_library.c, which prints the library: its embedded trees
#   compiler       runtime, and inside it its own or an earlier stage of the line below
#   compiler/emit, review, editor are side by side: none includes another, but for what writes JSON, columns and escapes
#   tests          everything
#
# `.ci/layers.sh --self-test` plants one offence of each kind and checks that it is found.
set -u
cd "$(dirname "$0")/.." || exit 1

# The line of stages, first to last, and the files of each (stems; * as in the shell). A .c file named nowhere here
# belongs to the stage of the header it includes first, its own; a header that fits none is reported: name its stage.
stages='
language    said catalogue
source      source
diagnostic  diagnostic faults render* nearest
syntax      syntax embedded
unit        unit* typeset* spelling
schema      schema
names       names names_*
typing      typing typing_*
lower       lower lower_*
limits      limits limits_*
solve       solve solve_*
window      window
steps       steps steps_*
fingerprint fingerprint fingerprint_*
face        strokewright
emit        emit/* emit/*/*
review      review/*
editor      editor/*
cli         cli/*
'

stage_of() { # file of compiler/ -> "rank name"
    local stage patterns rank=0 stem=${1#compiler/} first
    stem=${stem%.*}
    while read -r stage patterns; do
        [ -n "$stage" ] || continue
        rank=$((rank + 1))
        for pattern in $patterns; do
            # shellcheck disable=SC2053 # the right side is a pattern on purpose
            [[ $stem == $pattern ]] && { echo "$rank $stage"; return; }
        done
    done <<<"$stages"
    first=$(sed -nE 's/^#include "(compiler\/[^"]*)".*/\1/p;T;q' "$1" 2>/dev/null)
    if [[ $1 == *.c && -n $first ]]; then stage_of "$first"; else echo "0 unknown"; fi
}

allowed() { # including file, included path -> 0 when it may
    local from=$1 to=$2 from_rank from_stage to_rank to_stage
    case $from in
    runtime/base/*) [[ $to == runtime/base/* ]] && return ;;
    runtime/*) [[ $to == runtime/* ]] && return ;;
    grammar/*)
        case $to in
        grammar/* | runtime/base/* | compiler/source.h | compiler/diagnostic.h | compiler/syntax.h | compiler/faults.def) return 0 ;;
        compiler/unit.h | compiler/schema.* | compiler/spelling.h | compiler/embedded.h | runtime/function* | runtime/spreads.def)
            [[ $from == grammar/reference*.c ]] && return ;;
        esac
        ;;
    compiler/*)
        [[ $to == runtime/* ]] && return
        read -r from_rank from_stage <<<"$(stage_of "$from")"
        [ "$from_stage" = unknown ] && return 1
        # The stage that parses calls the grammar through its own header only.
        [[ $to == grammar/* ]] && { [ "$from_stage" = syntax ]; return; }
        read -r to_rank to_stage <<<"$(stage_of "$to")"
        [ "$to_stage" = unknown ] && return 1
        case $from_stage/$to_stage in
        emit/emit | review/review | editor/editor) return 0 ;;
        review/emit | editor/emit) [[ $to == compiler/emit/@(json|columns|escape).h ]]; return ;;
        emit/* | review/* | editor/*) case $to_stage in emit | review | editor) return 1 ;; esac ;;
        esac
        [ "$to_rank" -le "$from_rank" ] && return
        ;;
    esac
    return 1
}

check() { # prints offences under the current directory
    local from line to
    while IFS=: read -r from line to; do
        to=$(sed -E 's/^[^"]*"([^"]*)".*/\1/' <<<"$to")
        [[ $to == */* ]] || continue # a generated header of the same room
        allowed "$from" "$to" || echo "$from:$line: may not include \"$to\""
    done < <(grep -rnE --include='*.[chly]' --include='*.def' '^ *# *include "' runtime grammar compiler 2>/dev/null)
    while read -r from; do
        [[ $(stage_of "$from") == 0* ]] && echo "$from: belongs to no stage: name one in .ci/layers.sh"
    done < <(find compiler -name '*.[ch]' ! -path compiler/embed.c 2>/dev/null)
}

self_test() { # one planted offence a line: file, what it includes
    local dir from to bad=0
    dir=$(mktemp -d) && cd "$dir" || exit 1
    while read -r from to; do
        rm -rf runtime grammar compiler
        mkdir -p runtime/base grammar compiler/emit compiler/review compiler/cli
        echo "#include \"$to\"" >"$from"
        [ -n "$(check)" ] || { echo "self-test: $from including $to was not found"; bad=1; }
    done <<'OFFENCES'
runtime/base/text.c runtime/program.h
runtime/program.c compiler/unit.h
runtime/program.c grammar/scan.h
grammar/parse.c compiler/names.h
grammar/parse.c compiler/schema.h
compiler/unit.c compiler/names.h
compiler/syntax.c compiler/unit.h
compiler/lower.c compiler/emit/text.h
compiler/emit/text.c compiler/review/why.h
compiler/review/why_text.c compiler/emit/text.h
compiler/emit/text.c compiler/cli/build.h
compiler/names.c grammar/scan.h
compiler/nowhere.h runtime/program.h
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
