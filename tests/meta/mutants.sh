#!/usr/bin/env bash
# Each row of the planted faults can be planted; and the program that plants them sees what survives, tried on a tree of two
# files with one fault of each sort.
set -u
cd "$(dirname "$0")/../.." || exit 1
run=$PWD/tests/mutants/run.py
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
passed=0 failed=0

expect() { # what, wanted status, words that must be said, command...
    local what=$1 wanted=$2 words=$3 status
    shift 3
    "$@" >"$scratch/said" 2>&1
    status=$?
    if [ $status -eq "$wanted" ] && grep -qF -- "$words" "$scratch/said"; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "$what: status $status, wanted $wanted and '$words'"
        tail -n 40 "$scratch/said"
    fi
}

expect 'every row of the list can be planted' 0 ' passed, 0 failed' python3 "$run" --check
rows=$(grep -cv '^#' tests/mutants/list.tsv)
expect 'there are at least sixty' 0 yes bash -c '[ $0 -ge 60 ] && echo yes' "$rows"

tree=$scratch/tree
mkdir -p "$tree/tests/meta" "$tree/src" && cd "$tree" || exit 1
git init -q .
echo build >.gitignore
printf 'one=1\ntwo=2\n' >src/source.h
cat >Makefile <<'EOF'
all: build/strokewright
build/strokewright: src/source.h
	@mkdir -p build && bash -n src/source.h && cp src/source.h $@
build/strokewright.pot: all
EOF
cat >tests/meta/one.sh <<'EOF'
. "$STROKEWRIGHT" && [ "$one" = 1 ]
EOF
echo 'exit 1' >tests/meta/bad.sh

planted() { # what, wanted status, words, row of five fields: of the tree
    printf '%b\n' "$4" >list
    expect "$1" "$2" "$3" python3 "$run" --list list
}

planted 'a fault that is noticed' 0 '1 passed, 0 failed' 'src/source.h\tone=1\tone=3\tmeta:one.sh\tf'
planted 'the same, by its folder' 0 '1 passed, 0 failed' 'src\tone=1\tone=3\tmeta:one.sh\tf'
planted 'a fault that nothing notices' 1 'SURVIVES: not noticed by meta:one.sh' 'src/source.h\ttwo=2\ttwo=3\tmeta:one.sh\tf'
planted 'a text that is not there' 1 'stands 0 times' 'src/source.h\tthree\tfour\tmeta:one.sh\tf'
planted 'a text that is there twice' 1 'stands 2 times' 'src/source.h\t=\t==\tmeta:one.sh\tf'
planted 'a test that there is not' 1 'there is no test meta:none.sh' 'src/source.h\tone=1\tone=3\tmeta:none.sh\tf'
planted 'a test that fails without a fault' 1 'bad.sh fails without a fault' 'src/source.h\tone=1\tone=3\tmeta:bad.sh\tf'
planted 'what does not build' 1 'does not build' 'src/source.h\tone=1\tone=(\tmeta:one.sh\tf'
planted 'what the build must notice' 0 '1 passed, 0 failed' 'src/source.h\tone=1\tone=(\tbuild\tf'
planted 'what the build must notice and does not' 1 'SURVIVES: it builds' 'src/source.h\tone=1\tone=3\tbuild\tf'
planted 'a row that is too short' 1 '4 fields' 'src/source.h\tone=1\tone=3\tmeta:one.sh'
expect 'the sources are left as they were' 0 'one=1' cat src/source.h
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
