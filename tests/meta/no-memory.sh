#!/usr/bin/env bash
# Wherever memory runs out, the command says so and exits 2; it never dies of it.
set -u
cd "$(dirname "$0")/../.." || exit 1
passed=0 failed=0 said=0
limits=$(seq 6000 900 20000)
instrumented=
[ -e "$B/libstrokewright.so" ] || instrumented=1 limits=unlimited # it needs all the addresses there are
lid=recipes/demo/river-logger-lid.recipe cup=recipes/demo/battery-cup.recipe
while read -r verb; do
    for kib in $limits; do
        # shellcheck disable=SC2086
        message=$( (ulimit -c 0; ulimit -v "$kib"; "$STROKEWRIGHT" $verb 2>&1 >/dev/null) )
        status=$?
        [ $status = 127 ] && continue # not even the libraries could be loaded
        grep -q 'out of memory' <<<"$message" && said=$((said + 1))
        if [ $status -le 2 ]; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "$verb with $kib KiB: status $status"; fi
    done
done <<VERBS
check $lid
check $lid $cup
build --only steps-json --out - $lid
value $lid
why $lid die.temperature
window $lid
compare $lid $cup
meaning $lid
uncertainty $lid overall-length.finished-size
tidy $lid
fingerprint --explain $lid
explain limit-fails
VERBS
[ "$instrumented" ] || [ $said -gt 10 ] || { failed=$((failed + 1)); echo 'memory never ran out: the limits of this test are too wide'; }
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
