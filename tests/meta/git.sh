#!/usr/bin/env bash
# Comparison with real git: revisions, files used at those revisions, renames, the two ways into git's own diff, and clear
# words where a revision or a file is not there.
set -u
cd "$(dirname "$0")/../.." || exit 1
here=$PWD scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
export HOME=$scratch GIT_CONFIG_NOSYSTEM=1 GIT_PAGER=cat TZ=UTC
export GIT_AUTHOR_NAME=shop GIT_AUTHOR_EMAIL=shop@example.invalid GIT_COMMITTER_NAME=shop GIT_COMMITTER_EMAIL=shop@example.invalid
unset GIT_DIR GIT_WORK_TREE GIT_PREFIX GIT_EXTERNAL_DIFF
passed=0 failed=0

# name, expected exit status, text that must stand in the output, command...
expect() {
    local name=$1 status=$2 words=$3 got
    shift 3
    printed=$("$@" 2>&1)
    got=$?
    if [ $got -eq "$status" ] && grep -qE -- "$words" <<<"$printed"; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        printf 'git: %s: exit %d, expected %d and "%s" in:\n%s\n' "$name" $got "$status" "$words" "$printed"
    fi
}

refuse() { # name, text that must not stand in what was printed last
    if grep -qE -- "$2" <<<"$printed"; then failed=$((failed + 1)) && printf 'git: %s: "%s" in:\n%s\n' "$1" "$2" "$printed"; else passed=$((passed + 1)); fi
}

commit() { # date
    git add -A && GIT_AUTHOR_DATE="$1T12:00:00Z" GIT_COMMITTER_DATE="$1T12:00:00Z" git commit -qm "$1"
}

mkdir -p "$scratch/repo/recipes/shop" && cd "$scratch/repo" || exit 1
git init -q . || exit 1
cp "$here/tests/revisions/lid-b.recipe" recipes/lid.recipe && cp "$here/recipes/demo/shop/press-bay.recipe" recipes/shop/
commit 2026-09-21
sed -i 's/approach-speed  = 150/approach-speed  = 120/; s/handling        = 5 s/handling        = 7 s/' recipes/shop/press-bay.recipe
commit 2026-10-05
cp "$here/recipes/demo/river-logger-lid.recipe" recipes/lid.recipe
commit 2026-11-02
git mv recipes/lid.recipe recipes/river-lid.recipe
commit 2026-11-03
mkdir elsewhere && git mv recipes/river-lid.recipe elsewhere/ && sed -i 's,"shop/,"../recipes/shop/,' elsewhere/river-lid.recipe
commit 2026-11-04

tool=$STROKEWRIGHT
expect 'two revisions' 1 '"corner rim", "what": "inside-radius".*"change": "-0.40 mm, -50 %"' "$tool" compare --format json --git HEAD~4 HEAD~2 recipes/lid.recipe
expect 'the side is named by its revision' 1 '^old +HEAD~4:recipes/lid.recipe, revision B' "$tool" compare --git HEAD~4 HEAD~2 recipes/lid.recipe
expect 'the shop file at the old revision' 1 'cause is in *$|cause is in shop' "$tool" compare --git HEAD~4 HEAD~3 recipes/lid.recipe
expect 'and what it moves' 1 'handling +5 s +7 s' "$tool" compare --git HEAD~4 HEAD~3 recipes/lid.recipe
expect 'the same revision twice' 0 'Both mean the same' "$tool" compare --git HEAD~3 HEAD~3 recipes/lid.recipe
expect 'a file that was renamed' 0 'HEAD~2:recipes/lid.recipe' "$tool" compare --git HEAD~2 HEAD~1 recipes/river-lid.recipe
expect 'no such revision' 2 "there is no revision 'HEAD~99'" "$tool" compare --git HEAD~99 HEAD recipes/lid.recipe
expect 'a revision like an option' 2 "there is no revision '--output=x'" "$tool" compare --git -- --output=x HEAD recipes/lid.recipe
expect 'no such file' 2 'recipes/never.recipe does not exist at HEAD' "$tool" compare --git HEAD HEAD recipes/never.recipe
expect 'a folder for a file' 2 'recipes does not exist at HEAD' "$tool" compare --git HEAD HEAD recipes
expect 'no file given' 2 'usage' "$tool" compare --git HEAD
expect 'outside the folder' 1 "cannot use|outside|too faulty" "$tool" compare --git HEAD~1 HEAD elsewhere/river-lid.recipe
expect 'outside the folder, allowed' 0 'Both mean the same' "$tool" compare --allow-outside --git HEAD~1 HEAD elsewhere/river-lid.recipe
cd recipes && expect 'from a folder below' 2 'recipes/lid.recipe does not exist at HEAD$' "$tool" compare --git HEAD HEAD lid.recipe; cd ..
cd / && expect 'from outside, by its full name' 1 '"inside-radius"' "$tool" compare --format json --git HEAD~4 HEAD~2 "$scratch/repo/recipes/lid.recipe"; cd "$scratch/repo" || exit 1
expect 'against the file as it lies there' 0 'Both mean the same' "$tool" compare --allow-outside --git HEAD elsewhere/river-lid.recipe
sed -i 's/hold          = 1.2 s/hold          = 1.4 s/' elsewhere/river-lid.recipe
expect 'against the file as it was changed' 1 'hold +1.2 s +1.4 s' "$tool" compare --allow-outside --git HEAD elsewhere/river-lid.recipe
git checkout -q elsewhere
cd "$scratch" && expect 'no repository' 2 'is in no repository' "$tool" compare --git HEAD nothing.recipe; cd repo || exit 1

# The two lines of configuration, as the README has them.
echo '*.recipe diff=strokewright' >.gitattributes
git config diff.strokewright.command "'$tool' compare --driver"
expect 'git diff speaks of meaning' 0 'corner rim' git diff --ext-diff HEAD~4 HEAD~2 -- recipes/lid.recipe
expect 'it says where used files come from' 0 'read from the working tree' git diff --ext-diff HEAD~4 HEAD~2 -- recipes/lid.recipe
sed -i 's/^recipe/\n\n# a word\nrecipe/' elsewhere/river-lid.recipe
expect 'a comment is no difference, and no failure' 0 'recipe' git diff --ext-diff
git checkout -q elsewhere
expect 'a new file' 0 'recipes/lid.recipe is new' git diff --ext-diff 4b825dc642cb6eb9a060e54bf8d69288fbee4904 HEAD~4 -- recipes/lid.recipe
expect 'a file that went' 0 'recipes/lid.recipe is gone' git diff --ext-diff --no-renames HEAD~2 HEAD~1 -- recipes/lid.recipe
expect 'a renamed file' 0 'Both mean the same' git diff --ext-diff -M HEAD~2 HEAD~1
git config --unset diff.strokewright.command
git config diff.strokewright.textconv "'$tool' meaning"
expect 'textconv' 0 '^\+    inside-radius = 0.4 mm \+/- 0.02 mm' git diff HEAD~4 HEAD~2 -- recipes/lid.recipe
sed -i 's/hold          = 1.2 s/hold = 1200 ms   # the same/' elsewhere/river-lid.recipe
printed=$(git diff) && refuse 'textconv: the same in other units is no difference' '^[+-] '
git checkout -q elsewhere

cd "$scratch" && expect 'no git' 2 'cannot run git' env PATH=/nowhere "$tool" compare --git HEAD repo/recipes/lid.recipe
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
