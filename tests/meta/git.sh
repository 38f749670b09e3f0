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

# The lines of configuration, as the README has them.
for line in "echo '*.recipe diff=strokewright' >> .gitattributes" "git config diff.strokewright.command 'strokewright compare --driver'" \
    "git config diff.strokewright.textconv 'strokewright meaning --'"; do
    expect "the README says: $line" 0 "" grep -qF "$line" "$here/README.md"
done
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

# Revision discipline over the repository: untouched, changed without and with a new revision, new, and gone back.
mkdir -p more && cp "$here/recipes/demo/battery-cup.recipe" more/cup.recipe && cp -r recipes/shop more/ && git add more && commit 2026-11-05
expect 'nothing changed' 0 'means the same as at HEAD' "$tool" check --allow-outside --against HEAD more/cup.recipe elsewhere/river-lid.recipe
refuse 'and nothing is worked out again' 'limits'
expect 'unless all is asked for' 0 '^more/cup.recipe: .* proved; 0 errors' "$tool" check --all --allow-outside --against HEAD more/cup.recipe elsewhere/river-lid.recipe
expect 'for programs it is no diagnostic' 0 '^$' "$tool" check --format json --against HEAD more/cup.recipe
sed -i 's/hold  *= .*/hold = 3.3 s/' more/cup.recipe
expect 'changed, and the revision is the same' 1 'revision-unchanged' "$tool" check --allow-outside --against HEAD more/cup.recipe elsewhere/river-lid.recipe
expect 'only the changed one is told' 1 '^elsewhere/river-lid.recipe: means the same' "$tool" check --allow-outside --against HEAD more/cup.recipe elsewhere/river-lid.recipe
git checkout -q more && sed -i '1i # a word more' more/cup.recipe
"$tool" tidy --write more/cup.recipe
expect 'a comment is no change' 0 'means the same' "$tool" check --against HEAD more/cup.recipe
git checkout -q more && sed -i 's/handling  *= .*/handling = 9 s/' more/shop/press-bay.recipe
expect 'a shop file with an effect is a change' 1 'revision-unchanged' "$tool" check --against HEAD more/cup.recipe
git checkout -q more && cp more/cup.recipe more/new.recipe
expect 'a new recipe has nothing to be held against' 0 '0 errors' "$tool" check --against HEAD more/new.recipe
rm more/new.recipe
expect 'no revision to check against' 2 "there is no revision 'HEAD~99'" "$tool" check --against HEAD~99 more/cup.recipe
sed -i 's/revision  *= "C"/revision = "B"/; /^change/,/^}/d' elsewhere/river-lid.recipe
expect 'the revision goes back' 1 'was C at HEAD.*revision-goes-back' "$tool" check --against HEAD --allow-outside elsewhere/river-lid.recipe
git checkout -q elsewhere

sed -i 's/temperature  *= find .*/temperature = 200 degC +\/- 4 K/' elsewhere/river-lid.recipe
expect 'what was found, stated' 1 'tool die, temperature: find .* -> 200 degC.*|revision-unchanged' "$tool" check --against HEAD --allow-outside elsewhere/river-lid.recipe
git checkout -q elsewhere && sed -i 's/150 degC .. 200 degC/150 degC .. 190 degC/' elsewhere/river-lid.recipe
expect 'another range to find in' 1 'revision-unchanged' "$tool" check --against HEAD --allow-outside elsewhere/river-lid.recipe
git checkout -q elsewhere && sed -i 's/hold  *= 1.2 s/hold = 1200 ms/; s/0.50 mm +\/- 0.02 mm/0.50 mm +\/- 4 %/' elsewhere/river-lid.recipe
expect 'the same in other units' 0 ' 0 errors' "$tool" check --against HEAD --allow-outside elsewhere/river-lid.recipe
git checkout -q elsewhere

printf 'waive hand-safe until 2026-12-31 by "process engineering" because "trial lot"\n' >>more/cup.recipe && git add more && commit 2026-11-06
expect 'waivers depend on the day' 0 'waived|errors' "$tool" check --against HEAD more/cup.recipe
refuse 'so that such a recipe is worked out' 'means the same'
printf 'sheet {\n' >>more/cup.recipe && git add more && commit 2026-11-07
expect 'one that cannot be read is told though it was so then' 1 'error' "$tool" check --against HEAD more/cup.recipe
git reset -q --hard HEAD~2

# The history of a value: through a renaming, through a revision that is broken, moved by the shop's file, uncommitted.
mkdir "$scratch/second" && cd "$scratch/second" && git init -q . && mkdir shop
cp "$here/recipes/demo/shop/press-bay.recipe" shop/ && cp "$here/tests/revisions/lid-b.recipe" lid.recipe && commit 2026-08-17
sed -i 's/handling  *= .*/handling = 7 s/' shop/press-bay.recipe && commit 2026-10-05
cp "$here/recipes/demo/river-logger-lid.recipe" lid.recipe && commit 2026-11-02
sed -i 's/thickness = 0.50 mm/thickness = 0.50 mn/' lid.recipe && commit 2026-11-03
sed -i 's/thickness = 0.50 mn/thickness = 0.60 mm/' lid.recipe && git mv lid.recipe river-lid.recipe && commit 2026-11-04
expect 'history' 0 '^C +2026-11-02 +[0-9a-f]{7}' "$tool" history river-lid.recipe sheet.thickness
expect 'a commit that cannot be worked out' 0 "why  line [0-9]+: there is no unit 'mn'" "$tool" history river-lid.recipe sheet.thickness
expect 'the move over it' 0 '^C +2026-11-04 .*0.60 mm +\+0.10 mm, \+20 % +\| +o\|$' "$tool" history river-lid.recipe sheet.thickness
expect 'the name it had' 0 '"date": "2026-08-17".*"file": "lid.recipe"' "$tool" history --json river-lid.recipe sheet.thickness
expect 'the shop file as the cause' 0 'by   shop/press-bay.recipe' "$tool" history river-lid.recipe press.handling
expect 'as CSV' 0 '^B,2026-10-05,[0-9a-f]{7},7,s,7 s,"'"'"'\+2 s, \+40 %",40,lid.recipe,shop/press-bay.recipe,' "$tool" history --csv river-lid.recipe press.handling
expect 'a value that never was' 2 "no revision of river-lid.recipe has a value 'press.handing'" "$tool" history river-lid.recipe press.handing
sed -i 's/0.60 mm/0.70 mm/' river-lid.recipe
expect 'what is not committed' 0 '^C +not yet +committed +0.70 mm' "$tool" history river-lid.recipe sheet.thickness
expect 'never committed' 2 'was never committed' "$tool" history never.recipe sheet.thickness

# Branches: a value moves from the commit before it on its branch, under the name it had there.
git init -q -b main "$scratch/branches" && cd "$scratch/branches" && mkdir shop && cp "$here/recipes/demo/shop/press-bay.recipe" shop/ || exit 1
cp "$here/recipes/demo/battery-cup.recipe" cup.recipe && commit 2026-09-01 && git checkout -q -b warm
sed -i 's/handling  *= .*/handling = 6 s/' shop/press-bay.recipe && commit 2026-09-03
sed -i '/^sheet/,/^}/s/thickness  *= .*/thickness = 0.45 mm +\/- 0.02 mm/' cup.recipe && commit 2026-09-04
git checkout -q main && git mv cup.recipe battery.recipe && commit 2026-09-05
sed -i 's/hold  *= .*/hold = 2 s/' battery.recipe && commit 2026-09-06
GIT_AUTHOR_DATE=2026-09-08T12:00:00Z GIT_COMMITTER_DATE=2026-09-08T12:00:00Z git merge -q -m merge warm >/dev/null
sed -i '/^sheet/,/^}/s/thickness  *= .*/thickness = 0.50 mm +\/- 0.02 mm/' battery.recipe && commit 2026-09-09
"$tool" history battery.recipe sheet.thickness | grep '^[*|]' | cut -c 1-2 | tr -d ' \n' >lanes
expect 'branches are drawn' 0 '^[*][|].[|][*][|][*][*][|][*][|][|]/[*][*]$' cat lanes
expect 'and what they start on' 0 '^ +on   [0-9a-f]{7}$' "$tool" history battery.recipe sheet.thickness
expect 'a move on a branch' 0 '^\|\* +A +2026-09-04 +[0-9a-f]{7} +0.45 mm +-0.35 mm' "$tool" history battery.recipe sheet.thickness
expect 'a merge moves from its first parent' 0 '^\* +A +2026-09-08 +[0-9a-f]{7} +0.45 mm +-0.35 mm' "$tool" history battery.recipe sheet.thickness
expect 'no move beside it' 0 '^A,2026-09-03,[0-9a-f]{7},0.8,mm,0.80 mm,,,cup.recipe,shop/press-bay.recipe,,[0-9a-f]{7}' "$tool" history --csv battery.recipe sheet.thickness
expect 'both parents' 0 '"date": "2026-09-08".*"parents": "[0-9a-f]{7} [0-9a-f]{7}"' "$tool" history --json battery.recipe sheet.thickness
rm lanes

# A renamed recipe is held against what it was.
cd "$scratch/second" && git checkout -q . && git reset -q --hard HEAD && git mv river-lid.recipe lid-c.recipe
expect 'renamed, the same' 0 '^lid-c.recipe: means the same as at HEAD' "$tool" check --against HEAD lid-c.recipe
sed -i 's/0.60 mm/0.70 mm/' lid-c.recipe
expect 'renamed and changed' 1 'revision-unchanged' "$tool" check --against HEAD lid-c.recipe
expect 'renamed twice' 1 'revision-unchanged' "$tool" check --against HEAD~1 lid-c.recipe
cp "$here/recipes/demo/battery-cup.recipe" cup.recipe && git add cup.recipe
expect 'a new one beside it' 0 '0 errors' "$tool" check --against HEAD cup.recipe
git reset -q --hard HEAD

# A change of the shop's file shows once, there; what asks for a revision is the shop's own rule.
sed -i 's/handling  *= .*/handling = 9 s/' shop/press-bay.recipe && cp "$here/recipes/demo/battery-cup.recipe" . && git add battery-cup.recipe && commit 2026-11-08
sed -i 's/handling  *= .*/handling = 11 s/' shop/press-bay.recipe
expect 'at the shop file' 1 '^shop/press-bay.recipe:[0-9]+:5: error: .* moves 1?[a ]*recipe.*revision-unchanged' "$tool" check --against HEAD battery-cup.recipe
expect 'with what it moves' 1 'battery-cup.recipe:[0-9]+:5: note: still revision A: wanted-rate' "$tool" check --against HEAD battery-cup.recipe shop/press-bay.recipe
expect 'once' 1 '^1$' sh -c "'$tool' check --against HEAD *.recipe shop/*.recipe 2>&1 | grep -c 'error: .*revision-unchanged'; exit 1"
expect 'nothing on paper moved' 0 'may stay revision A: .*|shared-change' "$tool" check --against HEAD --asks-for-revision sizes battery-cup.recipe
expect 'no such rule' 2 "'size' does not ask for a revision; sizes, settings" "$tool" check --against HEAD --asks-for-revision size battery-cup.recipe
"$tool" check --against HEAD --changes changes.md river-lid.recipe battery-cup.recipe shop/press-bay.recipe >/dev/null 2>&1
expect 'changes name every recipe flagged' 0 '^- `battery-cup.recipe` needs a new revision' cat changes.md
expect 'and what differs' 0 'handling.*9 s.*11 s' cat changes.md
git checkout -q shop && "$tool" check --against HEAD --changes changes.md battery-cup.recipe >/dev/null 2>&1
expect 'no change, no word' 0 '^0$' sh -c 'wc -c <changes.md'
rm changes.md && git reset -q --hard HEAD~1

# Names that look like options.
cp river-lid.recipe ./--output=x.recipe && git add -A && commit 2026-11-08 && sed -i 's/0.60 mm/0.65 mm/' ./--output=x.recipe
echo '*.recipe diff=strokewright' >.gitattributes && git config diff.strokewright.command "'$tool' compare --driver"
expect 'the driver takes any name for one' 0 'thickness +0.60 mm .*0.65 mm' git diff --ext-diff
expect 'and goes on with the next' 0 'What .use. names' git diff --ext-diff
git config --unset diff.strokewright.command && git config diff.strokewright.textconv "'$tool' meaning --"
expect 'textconv too' 0 '^\+    thickness = 0.65 mm' git diff
expect 'behind --, so does check' 1 'revision-unchanged' "$tool" check --against HEAD -- --output=x.recipe
[ ! -e x.recipe ] || refuse 'no file was written' .
git config --unset diff.strokewright.textconv; rm .gitattributes && git reset -q --hard HEAD~1 && git clean -qfd

# A repository that is not trusted: whatever its configuration names is not run. `ran` tells that something was.
git clone -q "$scratch/second" "$scratch/hostile" && cd "$scratch/hostile" || exit 1
printf '#!/bin/sh\necho "$0 $*" >>"%s/ran"\nexit 1\n' "$scratch" >"$scratch/evil" && chmod +x "$scratch/evil"
{
    git cat-file commit HEAD | sed '/^committer/q'
    printf 'gpgsig -----BEGIN PGP SIGNATURE-----\n \n iQ==\n =aaaa\n -----END PGP SIGNATURE-----\n'
    git cat-file commit HEAD | sed '1,/^committer/d'
} >"$scratch/signed" && git update-ref HEAD "$(git hash-object -t commit -w "$scratch/signed")"
for setting in core.fsmonitor filter.evil.clean filter.evil.smudge diff.evil.textconv diff.evil.command diff.external gpg.program \
    core.pager core.sshCommand core.editor remote.origin.uploadpack; do git config $setting "$scratch/evil"; done
for setting in log.showSignature diff.relative remote.origin.promisor; do git config $setting true; done
git config core.hooksPath "$scratch/hooks" && mkdir "$scratch/hooks" && cp "$scratch/evil" "$scratch/hooks/post-index-change"
echo '*.recipe filter=evil diff=evil' >.git/info/attributes
git status >/dev/null 2>&1
expect 'git itself would run them' 0 evil cat "$scratch/ran"
rm -f "$scratch/ran" && touch river-lid.recipe
expect 'check runs none' 0 'means the same' "$tool" check --against HEAD river-lid.recipe
expect 'nor through a renaming' 1 'revision-unchanged' "$tool" check --against HEAD~2 river-lid.recipe
expect 'nor compare' 1 'thickness' "$tool" compare --git HEAD~2 river-lid.recipe
expect 'nor of two revisions' 1 'thickness' "$tool" compare --git HEAD~2 HEAD river-lid.recipe
expect 'nor history' 0 '2026-11-04 .*0.60 mm' "$tool" history river-lid.recipe sheet.thickness
expect 'nothing was run' 1 '' cat "$scratch/ran"

# A clone without the contents of former revisions: what cannot be compared is not passed, and nothing is fetched.
git -C "$scratch/second" config uploadpack.allowFilter true
git clone -q --no-local --filter=blob:none "file://$scratch/second" "$scratch/partial" 2>/dev/null && cd "$scratch/partial" || exit 1
printf '#!/bin/sh\ntouch "%s/ran"\nexit 1\n' "$scratch" >"$scratch/evil" && git config remote.origin.uploadpack "$scratch/evil"
expect 'a file left out' 2 "git stopped when it was asked for shop/press-bay.recipe at HEAD~4; .* 'git fetch --refetch'|git cannot give" "$tool" check --against HEAD~4 shop/press-bay.recipe
expect 'so that nobody knows what was renamed' 2 'git cannot tell which name river-lid.recipe had' "$tool" check --against HEAD~2 river-lid.recipe
expect 'compare' 2 'git cannot tell which name river-lid.recipe had' "$tool" compare --git HEAD~2 HEAD river-lid.recipe
expect 'what is there is read' 0 'means the same' "$tool" check --against HEAD river-lid.recipe
expect 'nothing was fetched' 1 '' cat "$scratch/ran"
git -C "$scratch/second" cat-file blob HEAD:river-lid.recipe >"$scratch/lid" && git init -q "$scratch/damaged" && cd "$scratch/damaged" && mkdir shop
cp "$scratch/lid" lid.recipe && cp "$here/recipes/demo/shop/press-bay.recipe" shop/ && commit 2026-09-01
sed -i 's/0.60 mm/0.70 mm/' lid.recipe && commit 2026-09-02
blob=$(git rev-parse HEAD~1:shop/press-bay.recipe) && rm -f ".git/objects/${blob:0:2}/${blob:2}"
expect 'what a recipe used is gone' 2 'git cannot give the contents of shop/press-bay.recipe at HEAD~1' "$tool" check --against HEAD~1 lid.recipe
blob=$(git rev-parse HEAD~1:lid.recipe) && rm -f ".git/objects/${blob:0:2}/${blob:2}"
expect 'the recipe is gone' 2 'git cannot give the contents of lid.recipe at HEAD~1' "$tool" check --against HEAD~1 lid.recipe

cd "$scratch" && expect 'no git' 2 'cannot run git' env PATH=/nowhere "$tool" compare --git HEAD repo/recipes/lid.recipe
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
