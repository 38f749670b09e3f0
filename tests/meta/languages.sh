#!/usr/bin/env bash
# The catalogues of compiler/languages/ say everything that people read, and no place {name} is lost. What is missing or
# fuzzy is said in English: a warning here, and a failure of `make release-check`.
# The check is tried on catalogues with one fault each, and the papers of a recipe that is written in Japanese are looked
# through for English that was never marked for translation.
set -u
cd "$(dirname "$0")/../.." || exit 1
template=$B/strokewright.pot
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
passed=0 failed=0

expect() { # what, wanted status (0 or not), command...
    local what=$1 wanted=$2
    shift 2
    if "$@" >"$scratch/said" 2>&1; then status=0; else status=1; fi
    if [ $status -eq "$wanted" ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "$what: status $status instead of $wanted"
        head -n 40 "$scratch/said"
    fi
}

# The English of what a catalogue lacks, one text a line: not in it, empty or fuzzy.
lacking() { # catalogue
    msgmerge --quiet --no-fuzzy-matching "$1" "$template" >"$scratch/merged.po" || { echo '(unreadable)'; return; }
    { msgattrib --no-wrap --no-obsolete --untranslated "$scratch/merged.po"
      msgattrib --no-wrap --no-obsolete --only-fuzzy --clear-fuzzy "$scratch/merged.po"; } |
        sed -nE 's/^msgid "(.+)"$/\1/p'
}

complete() { [ -z "$(lacking "$1")" ]; } # catalogue

tabled() { # catalogue: the build's own tool takes it
    msgfmt -o "$scratch/de.mo" "$1" && "$B/catalogue" "$scratch/de.mo" >/dev/null
}

for po in compiler/languages/*.po; do
    expect "$po is well formed" 0 msgfmt --check -o /dev/null "$po"
    lacking "$po" >"$scratch/lacking"
    [ ! -s "$scratch/lacking" ] ||
        echo "warning: $po lacks $(grep -c . "$scratch/lacking"), said in English (make languages, then translate):" \
            "$(head -n 3 "$scratch/lacking" | sed 's/.*/"&"/' | paste -sd ' ')"
done

sed '/^msgid "TOOL SIZES"$/{n;s/".*"/""/}' compiler/languages/de.po >"$scratch/missing.po"
expect 'a missing translation' 1 complete "$scratch/missing.po"
awk 'BEGIN { RS = ""; ORS = "\n\n" } !/msgid "TOOL SIZES"/' compiler/languages/de.po >"$scratch/unknown.po"
expect 'a text the catalogue does not know' 1 complete "$scratch/unknown.po"
sed 's/^msgid "TOOL SIZES"$/#, fuzzy\n&/' compiler/languages/de.po >"$scratch/fuzzy.po"
expect 'a fuzzy translation' 1 complete "$scratch/fuzzy.po"
sed 's/\(^msgstr .*\){date}/\1{data}/' compiler/languages/de.po >"$scratch/place.po"
expect 'the catalogue as it is' 0 tabled compiler/languages/de.po
expect 'a place of another name' 1 tabled "$scratch/place.po"
sed 's/plural=(n != 1)/plural=(n > 1)/' compiler/languages/de.po >"$scratch/plural.po"
expect 'another rule of plurals than the program has' 1 tabled "$scratch/plural.po"

# ---- a paper in one language ----------------------------------------------------------------------------------------

# Units, designations and the marks of files are the same in every language.
known='ANSI|AZ31B|degC|DIN|EN|H13|HTML|ISO|JIS|JCGM|min|mm|MPa|NaN|PDF|PTFE|recipe|RL|SKD|Strokewright|Cpk|um|ABC|kN|kJ|kW'

# Words of texts that Japanese lacks, which the warning above tells of.
lacking compiler/languages/ja.po | grep -oE '[A-Za-z]{3,}' >"$scratch/untranslated"

english() { # file of text: words that look like English
    sed -E 's/\b[0-9a-f]{12,64}\b//g; s/[A-Za-z0-9_./-]+\.recipe|tool-tolerance//g' "$1" | grep -oE '[A-Za-z][A-Za-z]{2,}' | grep -vxE "$known" | grep -vxF -f "$scratch/untranslated" | sort -u
}

none_english() { # file
    local found
    [ -s "$1" ] || { echo "$1 is empty"; return 1; }
    found=$(english "$1")
    [ -z "$found" ] || { echo "English in ${1##*/}:"; echo "$found"; return 1; }
}

"$STROKEWRIGHT" build tests/golden/lang-ja/case.recipe --lang ja --out "$scratch/paper" >"$scratch/said" 2>&1 || cat "$scratch/said"
expect 'the text tables in Japanese' 0 none_english "$scratch/paper/steps.txt"
expect 'the tool sizes in Japanese' 0 none_english "$scratch/paper/tool-sizes.txt"
for page in traveller tool-sheet inspection; do
    pdftotext -layout "$scratch/paper/$page.pdf" "$scratch/$page.txt" 2>/dev/null && expect "the $page in Japanese" 0 none_english "$scratch/$page.txt"
done
# Names of values stand in <code> and sources in <cite>, as they are; style and script are no text.
python3 - "$scratch/paper/report.html" "$scratch/paper/flow.svg" >"$scratch/report.txt" <<'PYTHON'
import re, sys
for path in sys.argv[1:]:
    page = open(path, encoding="utf-8").read()
    page = re.sub(r"<(code|cite|style|script)\b.*?</\1>", " ", page, flags=re.S)
    print(re.sub(r"<[^>]*>", "\n", page))
    print("\n".join(re.findall(r'(?:aria-label|data-label|title|alt)="([^"]*)"', page)))
PYTHON
expect 'the report in Japanese' 0 none_english "$scratch/report.txt"
echo 'Der Tool size' >"$scratch/english.txt"
expect 'a paper with English in it' 1 none_english "$scratch/english.txt"

# The machine's files are the same bytes in every language.
"$STROKEWRIGHT" build tests/golden/lang-ja/case.recipe --out "$scratch/english" >/dev/null 2>&1
for file in steps.json steps.csv tool-sizes.csv; do
    expect "$file does not depend on the language" 0 cmp "$scratch/paper/$file" "$scratch/english/$file"
done
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
