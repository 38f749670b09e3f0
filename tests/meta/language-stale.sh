#!/usr/bin/env bash
# The check of the language reference finds a page that is not current, and renewing mends it.
set -u
cd "$(dirname "$0")/../.." || exit 1
page=$(mktemp) || exit 1
trap 'rm -f "$page"' EXIT
passed=0 failed=0

expect() { # what, wanted status, command...
    local what=$1 wanted=$2 status
    shift 2
    "$@" >/dev/null 2>&1
    status=$?
    if [ $status -eq "$wanted" ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "$what: status $status instead of $wanted"
    fi
}

edited() { # sed script: the page with one change
    sed "$1" grammar/LANGUAGE.md >"$page"
}

edited 's/25\.4e-6 m/25.5e-6 m/'
expect 'a wrong factor' 1 "$B/reference" --check "$page"
expect 'renewing it' 0 "$B/reference" "$page"
expect 'the page as before' 0 cmp "$page" grammar/LANGUAGE.md
# shellcheck disable=SC2016 # the page's backquotes, not the shell's
edited '/^| `thickness` |/d'
expect 'a missing property' 1 "$B/reference" --check "$page"
edited '/^<!-- generated: units -->$/d'
expect 'a missing marker' 2 "$B/reference" --check "$page"
edited 's/^<!-- generated: units -->$/<!-- generated: unities -->/'
expect 'an unknown marker' 2 "$B/reference" --check "$page"
edited '/^<!-- end of generated part -->$/d'
expect 'a part without end' 2 "$B/reference" --check "$page"
expect 'a page that is not there' 2 "$B/reference" --check "$page.none"
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
