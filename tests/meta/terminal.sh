#!/usr/bin/env bash
# What a terminal gets: lines as wide as it is, colour only where it is wanted, progress that is taken away again. A pipe
# gets none of these. script(1) is the terminal.
set -u
cd "$(dirname "$0")/../.." || exit 1
tool=$STROKEWRIGHT lid=recipes/demo/river-logger-lid.recipe
unset NO_COLOR COLUMNS
passed=0 failed=0

expect() { # what, command that must succeed
    local what=$1
    shift
    if "$@"; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "not so: $what"; fi
}

terminal() { # columns, arguments: what the screen is sent, carriage returns as line ends taken off
    local columns=$1
    shift
    COLUMNS=$columns TERM=xterm script -qec "$tool $*" /dev/null </dev/null | sed 's/\r$//'
}

widest() { # of the lines, in characters, escapes not counted
    sed $'s/\e\\[[0-9;]*[mK]//g' | awk '{ if (length($0) > most) most = length($0) } END { print most + 0 }'
}

values="value $lid overall-length.reaction az31b-o.expansion sheet.lubricant blank.reached"
for columns in 40 60 80; do
    expect "values fit $columns columns" [ "$(terminal $columns "$values" | widest)" -le $columns ]
done
expect 'a wide terminal holds each value on one line' [ "$(terminal 200 "$values" | wc -l)" -eq 4 ]
# shellcheck disable=SC2086 # the arguments
expect 'a pipe is not wrapped' [ "$(COLUMNS=40 $tool $values | wc -l)" -eq 4 ]
expect 'no number loses its unit at a line end' [ -z "$(terminal 40 "$values" | grep -E '[0-9]$' | grep -vE 'RL|value')" ]

for columns in 40 60 80 120; do
    # The name of the file and what is said at it are not parted.
    expect "limits fit $columns columns" [ "$(terminal $columns "check --limits $lid" | grep -v '\.recipe:' | widest)" -le $columns ]
done
expect 'a narrow terminal still gets every margin' \
    [ "$(terminal 40 "check --limits $lid" | grep -c '^  At worst  ')" -eq "$(terminal 120 "check --limits $lid" | grep -c ' proved ')" ]

failing=recipes/demo/failing/lid-cold.recipe
coloured() { grep -q $'\e\\['; }
plain() { ! coloured; }
expect 'faults are coloured on a terminal' coloured < <(terminal 80 "check $failing")
expect 'NO_COLOR is heeded' plain < <(NO_COLOR=1 terminal 80 "check $failing")
expect 'a dumb terminal gets no escapes' plain < <(COLUMNS=80 TERM=dumb script -qec "$tool check $failing $failing" /dev/null </dev/null)
expect 'a pipe gets no escapes' plain < <("$tool" check "$failing" "$lid" 2>&1)

expect 'progress over several files' grep -q '2 of 3  ' < <(terminal 80 "check $lid $lid $lid")
expect 'no progress over one' [ -z "$(terminal 80 "check $lid" | grep ' of 1 ')" ]
expect 'progress is taken away' [ "$(terminal 80 "check $lid $lid $lid" | tr '\r' '\n' | grep -c ' of 3 ')" -eq \
    "$(terminal 80 "check $lid $lid $lid" | grep -o $'\r\e\\[K' | wc -l | awk '{ print $1 / 2 }')" ]
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
