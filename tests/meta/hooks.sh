#!/usr/bin/env bash
# The pre-commit hook and the job for continuous integration, as the README prints them, with real git.
set -u
cd "$(dirname "$0")/../.." || exit 1
here=$PWD scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
export HOME=$scratch GIT_CONFIG_NOSYSTEM=1 TZ=UTC SOURCE_DATE_EPOCH=1795564800 TMPDIR=$scratch
export GIT_AUTHOR_NAME=shop GIT_AUTHOR_EMAIL=shop@example.invalid GIT_COMMITTER_NAME=shop GIT_COMMITTER_EMAIL=shop@example.invalid
unset GIT_DIR GIT_WORK_TREE GIT_PREFIX GIT_INDEX_FILE
PATH=$(dirname "$STROKEWRIGHT"):$PATH
passed=0 failed=0

expect() { # name, expected status (or "not 0"), text that must stand in the output, command...
    local name=$1 status=$2 words=$3 got
    shift 3
    printed=$("$@" 2>&1)
    got=$?
    if { [ $got = "$status" ] || { [ "$status" = 'not 0' ] && [ $got -ne 0 ]; }; } && grep -qE -- "$words" <<<"$printed"; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        printf 'hooks: %s: exit %d, expected %s and "%s" in:\n%s\n' "$name" $got "$status" "$words" "$printed"
    fi
}

awk -v to="$scratch/script" '/^```sh$/ { n++; on = 1; next } /^```$/ { on = 0 } on { print > (to n) }' README.md
expect 'two scripts in the README' 0 '^2$' sh -c "ls '$scratch'/script* | wc -l"
expect 'no slip in them' 0 '' shellcheck -S warning "$scratch"/script1 "$scratch"/script2

mkdir "$scratch/repo" && cd "$scratch/repo" && git init -q -b main . && mkdir shop 'odd names' || exit 1
cp "$here/recipes/demo/shop/press-bay.recipe" shop/
cp "$here/recipes/demo/river-logger-lid.recipe" lid.recipe
install -m 755 "$scratch/script1" .git/hooks/pre-commit

git add -A
expect 'the first commit' 0 '0 errors' git commit -m first
sed -i 's/  *thickness *= 0.50 mm/ thickness=0.50 mm/' lid.recipe && git add -A
expect 'not in its one form' 'not 0' '^\+ +thickness = 0.50 mm' git commit -m untidy
strokewright tidy --write lid.recipe && git add -A
sed -i 's/hold  *= 1.2 s/hold          = 1.4 s/' lid.recipe
expect 'what is staged counts, not what lies there' 1 'nothing to commit|no changes added' git commit -m nothing
git add -A
expect 'another meaning, the same revision' 'not 0' 'revision-unchanged' git commit -m hold
sed -i 's/revision  *= "C"/revision = "D"/; s/date  *= 2026-11-02/date = 2026-11-20/' lid.recipe
cat >>lid.recipe <<'RECIPE'

change {
    revision = "D"
    date     = 2026-11-20
    reason   = "Held longer: the rim sprang back."
}
RECIPE
strokewright tidy --write lid.recipe
git add -A
expect 'with a new revision' 0 'main' git commit -m hold
cp lid.recipe 'odd names/a lid of ours.recipe' && sed -i 's,"shop/,"../shop/,' 'odd names/a lid of ours.recipe'
sed -i 's/0.50 mm/0.50 mmm/' 'odd names/a lid of ours.recipe' && git add -A
expect 'a fault, in a name with blanks' 'not 0' 'odd names/a lid of ours.recipe:[0-9]+:' git commit -m odd
git rm -qf --cached 'odd names/a lid of ours.recipe' && rm -r 'odd names'
sed -i 's/handling  *= 5 s/handling        = 6 s/' shop/press-bay.recipe && strokewright tidy --write shop/press-bay.recipe && git add shop
expect 'a shop file alone' 'not 0' 'shop/press-bay.recipe:[0-9]+:[0-9]+: error: .*revision-unchanged' git commit -m shop
git reset -q --hard HEAD
echo note >note.txt && git add note.txt
expect 'no recipe in it' 0 'note' git commit -m note
git worktree add -q ../tree -b other && cd ../tree || exit 1
sed -i 's/hold  *= 1.4 s/hold          = 1.5 s/' lid.recipe && strokewright tidy --write lid.recipe
expect 'from another working tree' 'not 0' 'revision-unchanged' git commit -am hold

# The job: on a branch that changes the shop's file, which the lid uses.
git checkout -q lid.recipe
sed -i 's/handling  *= 5 s/handling        = 7 s/' shop/press-bay.recipe && strokewright tidy --write shop/press-bay.recipe
git commit -qnam shop
expect 'the job finds what follows from a shop file' 1 '' env TARGET=main sh "$scratch/script2"
expect 'in its log' 0 '"revision-unchanged"' cat recipes.sarif
expect 'and tells the merge request' 0 'handling' cat changes.md
git checkout -q main 2>/dev/null || git checkout -q --detach main
expect 'the job on the branch itself' 0 '' env TARGET=main sh "$scratch/script2"
expect 'has nothing to tell' 0 '^0$' sh -c 'wc -c <changes.md'
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
