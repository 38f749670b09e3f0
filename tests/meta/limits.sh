#!/usr/bin/env bash
# Every limit of the library has two golden cases at its edge: limit-NAME-trips, in which it fails, and limit-NAME-passes,
# in which it applies and nothing fails. One that is within a range has limit-NAME-trips-other-end too. The cases are asked
# here, so that a case cannot stand for a limit it does not show.
set -u
cd "$(dirname "$0")/../.." || exit 1
tool=${STROKEWRIGHT:-build/strokewright}
passed=0 failed=0

say() { # what is wrong; nothing when all is well
    if [ -z "$1" ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "$1"
    fi
}

# The limits that fail, one a line, from the messages of check. Warnings and notes are no failures.
failing() { # recipe
    "$tool" check "$1" 2>&1 | sed -nE 's/^[^ ]*: error: ([a-z0-9-]+)( of the [a-z-]+( [a-z0-9-]+)?)? does not hold.*/\1/p'
}

# The verdicts that the limit has on what it speaks of, one a line.
verdicts() { # recipe, limit
    "$tool" build "$1" --only steps-json --out - 2>/dev/null | jq -r --arg name "$2" '.limits[] | select(.name == $name) | .verdict'
}

trips() { # recipe, limit
    [ -e "$1" ] || { echo "the limit $2 has no case that trips it: $1"; return; }
    failing "$1" | grep -qx -- "$2" || { echo "$1 does not trip $2"; return; }
    [ "$(failing "$1" | sort -u)" = "$2" ] || echo "$1 trips more than $2: $(failing "$1" | sort -u | tr '\n' ' ')"
}

passes() { # recipe, limit
    [ -e "$1" ] || { echo "the limit $2 has no case that just passes it: $1"; return; }
    [ -z "$(failing "$1")" ] || { echo "$1 fails $(failing "$1" | tr '\n' ' ')"; return; }
    verdicts "$1" "$2" | grep -vqxE 'fails|not-evaluated|not-decided|not-applicable' ||
        echo "$1 does not show that $2 holds: $(verdicts "$1" "$2" | tr '\n' ' ')"
}

# Whether the value that fails is below the lower bound or above the upper one, by the signs of its message.
failing_end() { # recipe, limit
    "$tool" check "$1" 2>&1 | sed -nE "s/.* error: $2 .* is (-?[0-9.]+)[^,]*, and must be within (-?[0-9.]+) .*/\1 \2/p" |
        awk '{ print ($1 < $2 ? "below" : "above") }'
}

both_ends() { # limit
    local one other
    trips "tests/golden/limit-$1-trips-other-end/case.recipe" "$1"
    one=$(failing_end "tests/golden/limit-$1-trips/case.recipe" "$1")
    other=$(failing_end "tests/golden/limit-$1-trips-other-end/case.recipe" "$1")
    [ -n "$one" ] && [ -n "$other" ] && [ "$one" != "$other" ] || echo "$1 trips at one end of its range alone: '$one' and '$other'"
}

limits=$(cat recipes/library/*.recipe | sed -nE 's/^limit ([a-z0-9-]+).*/\1/p')
for limit in $limits; do
    say "$(trips "tests/golden/limit-$limit-trips/case.recipe" "$limit")"
    say "$(passes "tests/golden/limit-$limit-passes/case.recipe" "$limit")"
done
for limit in $(awk '/^limit / { name = $2 } /^    within / { print name }' recipes/library/*.recipe); do
    say "$(both_ends "$limit")"
done
for folder in tests/golden/limit-*-trips tests/golden/limit-*-passes; do
    name=${folder#tests/golden/limit-}
    name=${name%-*}
    grep -qx -- "$name" <<<"$limits" || say "$folder is of no limit in the library"
done
[ "$(wc -w <<<"$limits")" -ge 49 ] || say "only $(wc -w <<<"$limits") limits were found in the library"

# What is checked here can fail.
first=$(head -n 1 <<<"$limits")
case=tests/golden/limit-$first
say "$([ -n "$(trips "$case-passes/case.recipe" "$first")" ] || echo 'a case that passes is taken for one that trips')"
say "$([ -n "$(passes "$case-trips/case.recipe" "$first")" ] || echo 'a case that trips is taken for one that passes')"
say "$([ -n "$(passes "$case-passes/case.recipe" wall-thinning)" ] || echo 'a limit that is not there is taken for one that holds')"
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
