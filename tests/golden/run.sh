#!/usr/bin/env bash
# Golden cases: recipe in, exact output out. One folder a case:
#   case.recipe   the main file, and any other files it uses
#   command       the arguments, one line as in a shell, when they are not: check case.recipe, of limit-* check --limits case.recipe
#   prepare       a script run first, for files that a folder of text cannot hold (a device, bytes that are not UTF-8) and
#                 for the demo recipes, which stand in $RECIPES/demo
#   expected      what is printed, standard output first, then standard error
#   status        the exit status
#   summary       an empty file: the case is about the line that counts the limits and the table of the tightest; elsewhere
#                 the counts and the rows of limits that hold are left out of what check prints, so that one limit more in
#                 the library changes no case it does not concern
# A case runs in a copy of its folder, so paths are short and nothing is left behind.
#
# tests/golden/run.sh [--bless] [case...]: every case or those named; --bless rewrites `expected` and `status`. Read the
# difference before committing it. $STROKEWRIGHT is the command under test.
set -u
here=$(cd "$(dirname "$0")" && pwd)
tool=${STROKEWRIGHT:-$here/../../build/strokewright}
[ -x "$tool" ] || { echo "tests/golden: $tool is not there; run make first" >&2; exit 1; }
tool=$(cd "$(dirname "$tool")" && pwd)/$(basename "$tool")
export LC_ALL=C.UTF-8 NO_COLOR=1 TZ=UTC RECIPES=$here/../../recipes
export SOURCE_DATE_EPOCH=1795564800 # 2026-11-25: cases do not depend on the day they are run
scratch=$(mktemp -d) || exit 1
trap 'chmod -R u+rwX "$scratch" 2>/dev/null; rm -rf "$scratch"' EXIT
strokewright() { timeout "${CASE_SECONDS:-20}" "$tool" "$@"; }

command_of() { # folder of the case
    case ${1##*/} in
    limit-*) cat "$1/command" 2>/dev/null || echo check --limits case.recipe ;;
    *) cat "$1/command" 2>/dev/null || echo check case.recipe ;;
    esac
}

leave_out_limits() { # folder of the case: what every limit of the library would change, from $scratch/printed
    local own=${1##*/}
    case $own in limit-*) own=${own#limit-} own=${own%%-trips*} own=${own%-passes} ;; *) own='' ;; esac
    case $(command_of "$1") in *check*) ;; *) return ;; esac
    sed -i -E 's/: [0-9]+ limits?: [0-9][^;]*;/: (limits);/' "$scratch/printed"
    awk -v OWN="$own" -f "$here/open_limits.awk" "$scratch/printed" >"$scratch/open" && mv "$scratch/open" "$scratch/printed"
}

run_case() { # folder of the case -> $scratch/printed, $scratch/status
    local room=$scratch/room command
    chmod -R u+rwX "$room" 2>/dev/null
    rm -rf "$room" && cp -r "$1" "$room" && rm -f "$room"/{expected,status,summary}
    command=$(command_of "$1")
    (
        cd "$room" || exit 99
        [ ! -e prepare ] || bash ./prepare || exit 99
        rm -f prepare command
        eval "strokewright $command" </dev/null
    ) >"$scratch/out" 2>"$scratch/err"
    echo $? >"$scratch/status"
    # The fingerprint covers the library, so that it would change in every case with each word of it: it has its own tests.
    sed -E 's/\b[0-9a-f]{64}\b/(fingerprint: 64 hex digits)/' "$scratch/out" "$scratch/err" >"$scratch/printed"
    [ -e "$1/summary" ] || leave_out_limits "$1"
}

# Prints the difference and fails when the case does not come out as expected.
judge() { # folder
    local name=${1##*/}
    run_case "$1"
    diff -u --label "$name/expected" --label "$name/printed" "$1/expected" "$scratch/printed" 2>&1 &&
        diff -u --label "$name/status" --label "$name/exit status" "$1/status" "$scratch/status" 2>&1
}

bless() { # folder
    run_case "$1"
    cp "$scratch/printed" "$1/expected"
    cp "$scratch/status" "$1/status"
}

# A runner that cannot fail proves nothing: a case with wrong words, one with a wrong status and one without expectations
# must each be found, and a right one must pass. So must one whose count of limits is wrong where the summary is its subject,
# and pass elsewhere.
self_test() {
    local trial=$scratch/trial bad=0 tool=$scratch/trial/counting name
    mkdir -p "$trial"/{right,words,status,bare,plain,summary}
    touch "$trial/summary/summary"
    # Stands for the command: counts one limit more with each run of a case.
    cat >"$tool" <<'EOF'
#!/bin/sh
echo run >>"$0.$(cat case.recipe)"
n=$(grep -c . "$0.$(cat case.recipe)")
printf 'Limit     Verdict  Value\n--------  -------  -----\none       proved   %d mm\ntwo-      FAILS    1 mm\nlong\n\n' "$n"
echo "case.recipe: $n limits: $n proved; 0 errors, 0 warnings"
EOF
    chmod +x "$tool"
    for name in right words status bare plain summary; do echo $name >"$trial/$name/case.recipe"; done
    for name in right words status plain summary; do bless "$trial/$name"; done
    echo 'one word more' >>"$trial/words/expected"
    echo 77 >"$trial/status/status"
    for name in right plain; do
        judge "$trial/$name" >/dev/null || { echo "self-test: a case that is $name fails"; bad=1; }
    done
    for name in words status bare summary; do
        judge "$trial/$name" >/dev/null && { echo "self-test: a case with wrong $name passes"; bad=1; }
    done
    # What goes wrong is still counted and shown where the limits are not.
    grep -q '(limits); 0 errors, 0 warnings' "$trial/plain/expected" || { echo "self-test: errors are not counted"; bad=1; }
    grep -qx 'two-long  FAILS  1 mm' "$trial/plain/expected" || { echo "self-test: a limit that fails is left out"; bad=1; }
    return $bad
}

blessing=0
[ "${1:-}" = --bless ] && { blessing=1; shift; }
cases=("$@")
[ $# -gt 0 ] || cases=("$here"/*/)
passed=0 failed=0
if self_test; then passed=1; else failed=1; fi
for folder in "${cases[@]}"; do
    folder=${folder%/}
    [ -d "$folder" ] || folder=$here/$folder
    [ -e "$folder/case.recipe" ] || [ -e "$folder/command" ] || { echo "$folder: no case"; failed=$((failed + 1)); continue; }
    if [ $blessing = 1 ]; then
        bless "$folder"
    elif judge "$folder"; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
    fi
done
[ $blessing = 0 ] || echo "blessed ${#cases[@]} cases; read the difference"
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
