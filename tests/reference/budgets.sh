#!/usr/bin/env bash
# Uncertainty budgets against published ones: budgets.txt lists what to ask. The last line counts.
set -u
strokewright=$(realpath -- "${STROKEWRIGHT:-$(dirname "$0")/../../build/strokewright}") || exit 1
cd "$(dirname "$0")" || exit 1
passed=0 failed=0

near() { # got, wanted, slack
    awk -v got="$1" -v wanted="$2" -v slack="$3" 'BEGIN {
        if (got !~ /^-?[0-9]/) exit 2
        difference = got - wanted
        exit !(difference <= slack && -difference <= slack)
    }'
}

declare -A answers=() # of each run, which serves several lines
while IFS= read -r line; do
    case $line in '#'* | '') continue ;; esac
    # A blank column would be swallowed between two tabs.
    IFS=$'\x1f' read -r recipe name options asked wanted slack source <<<"${line//$'\t'/$'\x1f'}"
    run="$recipe $name $options"
    if [ -z "${answers[$run]+there}" ]; then
        # shellcheck disable=SC2086 # options are words
        answers[$run]=$("$strokewright" uncertainty --json "$recipe.recipe" "$name" $options 2>/dev/null)
    fi
    got=$(jq -r ".[0]|$asked" <<<"${answers[$run]}" 2>&1)
    if [ -n "$source" ] && near "$got" "$wanted" "$slack"; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "$run: $asked is $got, not $wanted within $slack (${source:-no source})"
    fi
done <budgets.txt

# The judge can say no.
if near 1.1 1 0.05 || near nothing 0 1; then failed=$((failed + 1)); else passed=$((passed + 1)); fi
# The same seed, the same bytes; another, others.
ask() { "$strokewright" uncertainty --json gauge-block.recipe deviation --samples 20000 --seed "$1" 2>/dev/null; }
if [ -n "$(ask 3)" ] && [ "$(ask 3)" = "$(ask 3)" ] && [ "$(ask 3)" != "$(ask 4)" ]; then
    passed=$((passed + 1))
else
    failed=$((failed + 1))
    echo "the seed does not decide the samples"
fi
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
