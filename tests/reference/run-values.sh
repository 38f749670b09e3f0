#!/usr/bin/env bash
# Values against published ones: tests/reference/run-values.sh
#
# NAME.tsv beside NAME.recipe lists what to ask of that recipe, one value a line, columns separated by tabs: name,
# published value, tolerance, unit, source. A line "# recipe: PATH" names another recipe instead. refused.tsv lists
# expressions that must not be evaluated, with the end of the range that the message must name. Lines beginning with # are
# comments. The last line counts.
set -u
strokewright=$(realpath -- "${STROKEWRIGHT:-$(dirname "$0")/../../build/strokewright}") || exit 1
cd "$(dirname "$0")" || exit 1
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
passed=0 failed=0

verdict() { # truth (0 holds), what to say when it does not
    if [ "$1" -eq 0 ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "$2"
    fi
}

near() { # got, wanted, tolerance: numbers in decimal or exponent form
    awk -v got="$1" -v wanted="$2" -v tolerance="$3" 'BEGIN {
        number = "^-?[0-9]+(\\.[0-9]+)?(e[-+]?[0-9]+)?$"
        if (got !~ number || wanted !~ number || tolerance !~ number) exit 2
        difference = got - wanted
        exit !(difference <= tolerance && -difference <= tolerance)
    }'
}

recipe_of() { # list
    local other
    other=$(sed -n 's/^# recipe: //p' "$1")
    echo "${other:-${1%.tsv}.recipe}"
}

# Answers of one run for all names of a file: name, value, unit, separated by tabs.
ask_all() { # recipe, list
    local names
    mapfile -t names < <(grep -v '^#' "$2" | cut -f 1)
    "$strokewright" value --json "$1" "${names[@]}" >"$scratch/answers.json" 2>"$scratch/messages"
    jq -r '.[] | [.path, (.value // .why_not // "no value"), (if .unit == "" then "1" else .unit end)] | @tsv' \
        "$scratch/answers.json"
}

check_file() { # list
    local name wanted tolerance unit source got got_unit
    declare -A value=() unit_of=()
    while IFS=$'\t' read -r name got got_unit; do
        value[$name]=$got
        unit_of[$name]=$got_unit
    done < <(ask_all "$(recipe_of "$1")" "$1")
    while IFS=$'\t' read -r name wanted tolerance unit source; do
        case $name in '#'* | '') continue ;; esac
        got=${value[$name]-nothing}
        [ -n "$source" ] && near "$got" "$wanted" "$tolerance" && [ "${unit_of[$name]-}" = "$unit" ]
        verdict $? "$1: $name is $got ${unit_of[$name]-}, not $wanted $unit within $tolerance (${source:-no source})"
    done <"$1"
    [ ${#value[@]} -gt 0 ] || cat "$scratch/messages"
}

names_end() { # number: one of those in the range that the message on standard input states
    local found
    while read -r found; do
        near "$found" "$1" 0.0001 && return 0
    done < <(grep -o 'covers .*' | grep -oE '[0-9]+(\.[0-9]+)?')
    return 1
}

check_refused() { # list
    local expression end why
    while IFS=$'\t' read -r expression end why; do
        case $expression in '#'* | '') continue ;; esac
        printf 'let asked = %s\n' "$expression" >"$scratch/refused.recipe"
        if "$strokewright" value --json "$scratch/refused.recipe" asked >"$scratch/answer" 2>"$scratch/messages"; then
            verdict 1 "$expression was evaluated, though $why"
        else
            grep 'curve-range' "$scratch/messages" | names_end "$end"
            verdict $? "$expression: the message does not name $end as an end: $(head -c 400 "$scratch/messages")"
        fi
    done <"$1"
}

# A check that cannot fail is none: the judge itself is judged first.
near 100.2784 100.27842 0.00006
verdict $? "the judge refuses a value inside its tolerance"
! near 100.2784 100.2790 0.00006
verdict $? "the judge accepts a value outside its tolerance"
! near "no value" 0 1
verdict $? "the judge accepts what is no number"
! names_end 30 <<<"it is 30 mm, and the formula covers 300 mm .. 400 mm"
verdict $? "the judge finds an end that is not in the range"

for list in *.tsv; do
    if [ "$list" = refused.tsv ]; then
        check_refused "$list"
    else
        check_file "$list"
    fi
done
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
