#!/usr/bin/env bash
# Every fault has its page: `explain ID` says its title, its whole explanation and its example, the list names it, the
# reference has it, and a slip of the id finds it.
set -u
cd "$(dirname "$0")/../.." || exit 1
passed=0 failed=0

expect() { # what is wrong, command
    local what=$1
    shift
    if "$@"; then passed=$((passed + 1)); else failed=$((failed + 1)) && echo "$what"; fi
}

has() { grep -qF -- "$2" <<<"$1"; }
slugs=$(grep -oE '^FAULT\([a-z0-9_]+, "[a-z0-9-]+"' compiler/text/faults.def | sed -E 's/.*"(.*)"/\1/')
list=$("$STROKEWRIGHT" explain diagnostics)
reference=$(cat grammar/LANGUAGE.md)
expect 'the list is as long as the registry' [ "$(wc -l <<<"$list")" -eq "$(wc -w <<<"$slugs")" ]
for slug in $slugs; do
    page=$("$STROKEWRIGHT" explain "$slug")
    title=$(awk -v slug="$slug" '$1 == slug { sub(/^[^ ]+ +[^ ]+ +/, ""); print }' <<<"$list")
    # The row as the compiler sees it: the strings after the title are joined.
    row=$(awk -v slug="\"$slug\"" 'index($0, "FAULT(") == 1 { on = index($0, slug) } on' compiler/text/faults.def)
    last=$(grep -oE '"[^"]*\\n"\)$' <<<"$row" | sed -E 's/^"//; s/\\n"\)$//')
    expect "$slug has no title in the list" [ -n "$title" ]
    expect "the page of $slug does not begin with its id and title" has "$(head -1 <<<"$page")" "$slug: $title ("
    expect "the page of $slug has no example" has "$page" 'Example:'
    [ -z "$last" ] || expect "the page of $slug does not show the end of its example" has "$page" "$last"
    expect "the reference has no section $slug" has "$reference" "#### \`$slug\`"
    slip=${slug:0:2}${slug:3}
    expect "$slip does not find $slug" has "$("$STROKEWRIGHT" explain "$slip" 2>&1)" "$slug"
done
# What an installed user cannot find otherwise: everything a topic lists has a page, and a definition's shows its sources.
for topic in alloys materials lubricants sensors limits cautions formulas values kinds functions units; do
    names=$("$STROKEWRIGHT" explain "$topic" | cut -d ' ' -f 1)
    expect "the topic $topic lists nothing" [ "$(wc -w <<<"$names")" -gt 4 ]
    expect "something of $topic has no page" [ -z "$(for name in $names; do "$STROKEWRIGHT" explain "$name" >/dev/null || echo "$name"; done 2>&1)" ]
done
expect 'an alloy shows no source' has "$("$STROKEWRIGHT" explain az31b-o)" 'source "'
expect 'a kind shows no property' has "$("$STROKEWRIGHT" explain stroke)" 'While forming.'
expect 'a page is wider than the terminal' [ -z "$("$STROKEWRIGHT" explain limit-fails | grep -E '^.{81}')" ]
echo "$passed passed, $failed failed"
[ $failed -eq 0 ] && [ $passed -gt 400 ]
