#!/usr/bin/env bash
# The manual page and the completion know every verb and every option that the command itself names.
set -u
page=compiler/cli/man/strokewright.1 completion=compiler/cli/completion/strokewright.bash
passed=0 failed=0

expect() { # what is missing, command
    local what=$1
    shift
    if "$@"; then passed=$((passed + 1)); else failed=$((failed + 1)) && echo "$what"; fi
}

# shellcheck source=compiler/cli/completion/strokewright.bash
. "$completion"
offered() { # words of a line so far, the last of which is begun: what completion offers
    COMP_WORDS=("$STROKEWRIGHT" "$@") COMP_CWORD=$#
    compopt() { :; }
    _strokewright "$STROKEWRIGHT"
    printf '%s\n' "${COMPREPLY[@]}"
}
offers() { # word, words of a line so far
    offered "${@:2}" | grep -qxF -- "$1"
}
expect 'completion offers what is no verb' [ "$(offered ch)" = check ]
expect 'completion does not offer outputs' offers tool-sheet build --only too

verbs=$("$STROKEWRIGHT" --help | awk '/^  [a-z]+ /{print $1}')
for verb in $verbs; do
    expect "$page says nothing of '$verb'" grep -qE "^\.(Ss|Cm|Ic|It Cm) $verb\b|^\.Nm \w* ?Cm $verb\b" "$page"
    expect "$completion does not know '$verb'" offers "$verb" "${verb:0:1}"
    options=$("$STROKEWRIGHT" "$verb" --help | grep -oE -- '--[a-z][a-z-]*' | sort -u)
    for option in $options; do
        expect "$page does not explain $option" grep -q -- "Fl -${option#--}" "$page"
        expect "$completion does not offer $option for $verb" offers "$option" "$verb" -
    done
done
expect 'no verbs found in --help' [ -n "$verbs" ]
if command -v mandoc >/dev/null; then
    expect 'the manual pages have faults' mandoc -Tlint -W warning compiler/cli/man/*.[15]
fi
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
