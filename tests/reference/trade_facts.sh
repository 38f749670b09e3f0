#!/usr/bin/env bash
# Facts of the trade that any formula here must agree with, whatever its figures. They are common practice and have no
# source: near 200 degC thin annealed magnesium forms an almost square lid in one stroke, cold it does not; one press makes
# some thousands a day; a part shrinks more than the steel tool grows.
set -u
cd "$(dirname "$0")/../.." || exit 1
tool=${STROKEWRIGHT:-build/strokewright}
lid=recipes/demo/river-logger-lid.recipe cold=recipes/demo/failing/lid-cold.recipe
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
passed=0 failed=0

fact() { # what the trade says, then a command that holds when it is so
    local said=$1
    shift
    if "$@"; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "not so: $said"
    fi
}

value() { # recipe, name: the bare number
    "$tool" value --json "$1" "$2" 2>/dev/null | jq '.[0].value'
}

between() { # number, low, high
    awk -v x="$1" -v low="$2" -v high="$3" 'BEGIN { exit !(x ~ /^-?[0-9]/ && x + 0 >= low && x + 0 <= high) }'
}

fails() { # recipe, limit
    "$tool" check "$1" 2>&1 | grep -q "error: $2 .*does not hold"
}

holds() { # recipe: no limit fails and nothing is in error
    "$tool" check "$1" >/dev/null 2>&1
}

not() { ! "$@"; }

# A recipe of one corner, cold or warm: thickness, inside radius, tool temperature.
corner() {
    cat >"$scratch/corner.recipe" <<RECIPE
recipe corner {
    title    = "One corner"
    part     = "-"
    revision = "A"
    date     = 2026-11-02
    status   = draft
}
sheet {
    alloy     = az31b-o
    thickness = $1
    length    = 100 mm
    width     = 80 mm
}
tool die {
    material    = h13
    temperature = $3
}
tool punch like die {
    title = "Punch"
}
corner rim {
    inside-radius = $2
}
steps {
    heat-up blank {
        between = die, punch
        contact = 1800 W/(m^2*K)
        time    = 3 s
    }
    stroke form {
        speed = 25 mm/s
        hold  = 1.2 s
    }
}
RECIPE
    echo "$scratch/corner.recipe"
}

both_movements() { # the derivation of a tool size shows what the part shrinks by and what the tool grows by
    local said
    said=$("$tool" why "$lid" overall-length.cold-tool-size 2>&1) &&
        grep -q 'part shrinks' <<<"$said" && grep -q 'tool grows' <<<"$said" &&
        grep -q 'az31b-o.expansion' <<<"$said" && grep -q 'h13.expansion' <<<"$said"
}

difference_of_expansions() { # tool less part, against the difference of the two growths at one temperature
    awk -v tool="$(value "$lid" overall-length.cold-tool-size)" -v part="$(value "$lid" overall-length.growth-part)" \
        -v steel="$(value "$lid" overall-length.growth-tool)" \
        'BEGIN { d = tool - 168 - 168 * (part - steel); exit !(tool > 168.3 && d < 0.002 && d > -0.002) }'
}

fact "near 200 degC the lid of 0.5 mm with its almost square rim comes in one stroke" holds "$lid"
fact "its draw needs one stroke" between "$(value "$lid" body.strokes-needed)" 1 1
fact "its rim is sharper than a sheet thickness" between "$(value "$lid" rim.bend-ratio)" 0 1
fact "cold, the same rim cracks" fails "$cold" corner-cracking
fact "cold, the same draw tears" fails "$cold" draw-ratio
fact "cold, it takes two or three strokes" between "$(value "$lid" body.strokes-needed-cold)" 2 3
fact "under 0.5 mm a tight corner cracks cold" fails "$(corner '0.40 mm' '0.3 mm' '20 degC')" corner-cracking
fact "at 0.3 mm too" fails "$(corner '0.30 mm' '0.3 mm' '20 degC')" corner-cracking
fact "near 200 degC the corner of 0.4 mm sheet is sound" not fails "$(corner '0.40 mm' '0.3 mm' '200 degC')" corner-cracking
fact "one press on two shifts makes 3500 a day and more, the blank heated by contact" between "$(value "$lid" cycle.per-day)" 3500 10000
fact "the cold tool is larger than the part by the difference of the two expansions" difference_of_expansions
fact "its derivation shows both movements and both materials" both_movements
fact "springback is smaller warm: the yield stress falls faster than the modulus" \
    between "$(value tests/reference/process.recipe springback.az31-warm)" 2 "$(value tests/reference/process.recipe springback.az31-cold)"
echo "$passed passed, $failed failed"
[ $failed -eq 0 ] && [ $passed -ge 13 ]
