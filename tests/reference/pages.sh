#!/usr/bin/env bash
# The drawn pages as other programs see them: qpdf (structure), pdffonts (every font embedded), pdftotext (every row of
# the JSON of the same table is there to read), pdfinfo (A4, tagged, the recipe's date), xmllint and rsvg-convert (SVG).
set -u
cd "$(dirname "$0")/../.." || exit 1
B=${B:-build}
STROKEWRIGHT=${STROKEWRIGHT:-$B/strokewright}
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
passed=0 failed=0 n=0

check() { # what is checked, then a command: one check; what the command says is shown when it fails
    local name=$1 said
    shift
    if said=$("$@" 2>&1); then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        printf '%s:\n%s\n' "$name" "$(head -n 20 <<<"$said")"
    fi
}

fonts_embedded() { # the columns after the encoding: embedded, subset, with a map to Unicode
    local list
    list=$(pdffonts "$1" | tail -n +3)
    [ -n "$list" ] || { echo "no fonts at all"; return 1; }
    ! grep -vE ' yes +yes +yes +[0-9]+ +[0-9]+$' <<<"$list"
}

is_a4() {
    pdfinfo "$1" | grep -q '^Page size: *595.276 x 841.89 pts (A4)$'
}

is_tagged() {
    pdfinfo "$1" | grep -q '^Tagged: *yes$' && pdfinfo -struct "$1" | grep -q '^ *TR$'
}

is_dated() {
    [ "$(TZ=UTC pdfinfo -isodates "$1" | awk '/^CreationDate/ { print $2 }')" = 2026-11-02T00:00:00Z ]
}

pages_count() { # "page 3 of 4" stands once on each page, and the number is right
    local count i
    count=$(pdfinfo "$1" | awk '/^Pages:/ { print $2 }')
    for ((i = 1; i <= count; i++)); do
        pdftotext -f $i -l $i "$1" - | grep -qx "page $i of $count" || { echo "page $i of $count"; return 1; }
    done
}

# Everything the shop needs can be read off the pages: blanks and line breaks aside, for cells are narrow.
all_rows() { # PDF, JSON
    pdftotext -raw "$1" - | /usr/bin/python3 -c '
import json, re, sys
text = re.sub(r"\s", "", sys.stdin.read())
table = json.load(open(sys.argv[1], encoding="utf-8"))
missing = []
def want(words):
    spelled = (words or "").replace("degC", "°C").replace("+/- ", "±").replace("um/K", "µm/K").replace("..", "…")
    spelled = re.sub(r"(?<=\d) deg\b", " °", spelled).replace("mm^2", "mm²").replace("cm^2", "cm²")
    spelled = re.sub(r"(^|[\s(])-(?=\d)", r"\1−", spelled.replace(" um", " µm").replace("W/(m^2*K)", "W/(m²·K)"))
    if re.sub(r"\s", "", spelled) not in text:
        missing.append(spelled)
def plain(name):
    want(name[:1].upper() + name[1:].replace("-", " "))
for caution in table["cautions"]:
    want(caution["signal"]); want(caution["sign"]); want(caution["text"])
for row in table["setup"]:
    if row["reader"] != "press":
        continue
    want(row["group"]); want(row["label"]); want(row["text"]); want(row["band"])
for step in table["steps"]:
    want(str(step["number"])); want(step["what"]); want(step["instruction"]); want(step["check"]); want(step["reaction"])
    for s in step["settings"]:
        want(s["label"]); want(s["text"]); want(s["band"])
for size in table["sizes"]:
    plain(size["feature"])
    for key in ("part", "cold", "hot", "released", "finished", "per_kelvin"):
        want(size[key]["text"])
    want(size["part"]["band"]); want(size["cold"]["band"])
for limit in table["limits"]:
    name = limit["name"].replace("-", " ")
    want(name if limit["verdict"] == "not-applicable" else name[:1].upper() + name[1:])
    want(limit["value"]); want(limit["bound"]); want(limit["margin_text"]); want(limit["why_not"])
    if limit["verdict"] == "fails":
        want(limit["because"]); want(limit["remedy"])
want("competent persons")
print("missing:", missing[:5])
sys.exit(bool(missing))' "$2"
}

# Words on one line of a chart must not run into each other, as the SVG's own lengths tell.
svg_apart() {
    /usr/bin/python3 -c '
import re, sys, xml.etree.ElementTree as tree
lines = {}
def walk(e, dx, dy):
    moved = re.match(r"translate\(([-\d.]+) ([-\d.]+)\)$", e.get("transform") or "")
    if moved:
        dx, dy = dx + float(moved[1]), dy + float(moved[2])
    if e.tag == "{http://www.w3.org/2000/svg}text":
        x, y, long = (float(e.get(k)) for k in ("x", "y", "textLength"))
        lines.setdefault(round((y + dy) / 4), []).append((x + dx, x + dx + long, e.text))
    for child in e:
        walk(child, dx, dy)
walk(tree.parse(sys.argv[1]).getroot(), 0, 0)
bad = [(a[2], b[2]) for row in lines.values() for a, b in zip(sorted(row), sorted(row)[1:]) if b[0] < a[1] - 0.1]
print(bad[:3])
sys.exit(bool(bad) or not lines)' "$1"
}

on_every_page() { # PDF, words: the mark of the status, in black, not the pale one behind the text
    local i count
    count=$(pdfinfo "$1" | awk '/^Pages:/ { print $2 }')
    for ((i = 1; i <= count; i++)); do
        pdftotext -f $i -l $i "$1" - | grep -qx "$2" || { echo "page $i of $count"; return 1; }
    done
}

links_lead() { # PDF: as many links as the outline has entries, and each to a page that there is
    qpdf --json "$1" | /usr/bin/python3 -c '
import json, sys
document = json.load(sys.stdin)
objects = document["qpdf"][1] if "qpdf" in document else document["objects"]
values = [o.get("value", o) for o in objects.values() if isinstance(o, dict)]
links = [o for o in values if isinstance(o, dict) and o.get("/Subtype") == "/Link"]
entries = [o for o in values if isinstance(o, dict) and "/Title" in o and "/Parent" in o]
pages = {p["object"] for p in document["pages"]}
named = {}
def gather(o):
    names = (o or {}).get("/Names", [])
    named.update(zip(names[::2], names[1::2]))
for o in values:
    if isinstance(o, dict) and "/Names" in o and isinstance(o["/Names"], list):
        gather(o)
def page_of(target):
    if isinstance(target, str):
        target = named.get(target)
    if isinstance(target, str):
        target = next(o.get("value", o) for k, o in objects.items() if k in (target, "obj:" + target))
    if isinstance(target, dict):
        target = target["/D"]
    return target[0] if target else None
targets = [page_of(l.get("/Dest")) for l in links]
print(len(links), "links,", len(entries), "entries", targets)
sys.exit(not links or len(links) != len(entries) or not set(targets) <= pages or len(set(targets)) < 2)'
}

first_page_says() { # PDF, words...
    local page words
    page=$(pdftotext -raw -l 1 "$1" - | tr '\n' ' ')
    for words in "${@:2}"; do
        grep -qF -- "$words" <<<"$page" || { echo "no '$words'"; return 1; }
    done
}

says_somewhere() { # PDF, words...
    local all words
    all=$(pdftotext -raw "$1" - | tr '\n' ' ')
    for words in "${@:2}"; do
        grep -qF -- "$words" <<<"$all" || { echo "no '$words'"; return 1; }
    done
}

# A page that begins within a section says which; the sections are those of the outline.
sections_go_on() {
    /usr/bin/python3 -c '
import re, subprocess, sys
pages = subprocess.run(["pdftotext", "-layout", sys.argv[1], "-"], capture_output=True, text=True).stdout.split("\f")
contents = pages[0].strip().split("\n\n")[0]
starts = dict(re.findall(r"(\S[^\n]*?) (\d+)(?= |$)", contents, re.M))
bad, begun = [], None
for number, page in enumerate(pages[:-1], 1):
    lines = [" ".join(line.split()) for line in page.strip().splitlines() if line.strip()]
    goes_on = [line for line in lines if line.endswith(", continued")]
    here = [name for name, at in starts.items() if int(at) == number]
    if number > 1 and goes_on not in ([], [begun + ", continued"]):
        bad.append((number, goes_on, begun))
    if number > 1 and not goes_on and not here:
        bad.append((number, "nothing named"))
    begun = here[-1] if here else begun
print(bad, starts)
sys.exit(bool(bad) or not starts or not any(", continued" in page for page in pages))' "$1"
}

has_all() { # PDF, JSON, which of a size's values
    pdftotext -raw "$1" - | /usr/bin/python3 -c '
import json, re, sys
text = re.sub(r"\s", "", sys.stdin.read())
sizes = json.load(open(sys.argv[1], encoding="utf-8"))["sizes"]
missing = [s["feature"] for s in sizes if re.sub(r"\s", "", s[sys.argv[2]]["text"]) not in text]
print(missing)
sys.exit(bool(missing) or not sizes)' "$2" "$3"
}

code_reads() { # PDF, recipe: a camera gets name, part, revision and the whole fingerprint from the page at 100 dpi
    local fingerprint want got
    fingerprint=$("$STROKEWRIGHT" build "$2" --only steps-json --out - | /usr/bin/python3 -c '
import json, sys
print(json.load(sys.stdin)["recipe"]["fingerprint"].upper())')
    want="$(basename "$2" .recipe) $3"$'\n'"$fingerprint"
    pdftoppm -r 100 -gray -l 1 -png "$1" "$scratch/code"
    got=$(zbarimg -q --raw "$scratch"/code-*1.png 2>/dev/null)
    [ "$got" = "$want" ] || { echo "wanted $want"; echo "read $got"; return 1; }
}

svg_renders() {
    rsvg-convert -o "$scratch/flow.png" "$1" && [ -s "$scratch/flow.png" ]
}

# Type that is set must stand inside the picture, wherever groups have moved it.
svg_inside() {
    /usr/bin/python3 -c '
import re, sys, xml.etree.ElementTree as tree
root = tree.parse(sys.argv[1]).getroot()
width, height = float(root.get("width")), float(root.get("height"))
ns = "{http://www.w3.org/2000/svg}"
bad = []
def walk(e, dx, dy, scale):
    moved = re.match(r"translate\(([-\d.]+) ([-\d.]+)\)(?: scale\(([\d.]+)\))?", e.get("transform") or "")
    if moved:
        dx, dy = dx + scale * float(moved[1]), dy + scale * float(moved[2])
        scale *= float(moved[3] or 1)
    if e.tag == ns + "text":
        x, y, long = (float(e.get(k)) * scale for k in ("x", "y", "textLength"))
        if not (-0.1 <= x + dx and x + dx + long <= width + 0.1 and 0 <= y + dy <= height):
            bad.append(e.text)
    for child in e:
        walk(child, dx, dy, scale)
walk(root, 0, 0, 1)
print(bad)
sys.exit(bool(bad) or not root.find(ns + "title").text)' "$1"
}

for name in lid long empty '</text><x a="1">&\ é 温度 =1' $'\x01\xff\x1b[2J'; do
    dir=$scratch/$((++n))
    mkdir "$dir"
    check "$name is made" "$B"/tests/unit/test_emit_pages --write "$dir" "$name"
    check "$name: qpdf" qpdf --check "$dir/traveller.pdf"
    check "$name: fonts" fonts_embedded "$dir/traveller.pdf"
    check "$name: A4" is_a4 "$dir/traveller.pdf"
    check "$name: page numbers" pages_count "$dir/traveller.pdf"
    check "$name: SVG is well-formed" xmllint --noout "$dir/flow.svg"
    check "$name: SVG renders" svg_renders "$dir/flow.svg"
    check "$name: SVG text inside" svg_inside "$dir/flow.svg"
    for sheet in tool-sheet inspection; do
        check "$name: $sheet: qpdf" qpdf --check "$dir/$sheet.pdf"
        check "$name: $sheet: fonts" fonts_embedded "$dir/$sheet.pdf"
        check "$name: $sheet: page numbers" pages_count "$dir/$sheet.pdf"
    done
    for chart in temperatures force size-moves margins; do
        check "$name: $chart is well-formed" xmllint --noout "$dir/$chart.svg"
        check "$name: $chart renders" svg_renders "$dir/$chart.svg"
        [ "$n" -gt 2 ] || check "$name: $chart stays inside" svg_inside "$dir/$chart.svg"
    done
    [ "$n" -le 2 ] || continue
    for sheet in traveller tool-sheet inspection; do
        check "$name: $sheet: marked on every page" on_every_page "$dir/$sheet.pdf" "$([ "$name" = long ] && echo DRAFT || echo TRIAL)"
        check "$name: $sheet: tags" is_tagged "$dir/$sheet.pdf"
    done
    check "$name: the contents lead to their sections" links_lead "$dir/traveller.pdf"
    check "$name: waivers stand on the first page" first_page_says "$dir/traveller.pdf" 'until 2026-12-31' 'RUN OUT' \
        'until 2026-10-01'
    check "$name: what was chosen is told" says_somewhere "$dir/traveller.pdf" 'Possible: 186'
    check "$name: every size on the tool sheet" has_all "$dir/tool-sheet.pdf" "$dir/steps.json" cold
    check "$name: date" is_dated "$dir/traveller.pdf"
    check "$name: tags" is_tagged "$dir/traveller.pdf"
    check "$name: every row" all_rows "$dir/traveller.pdf" "$dir/steps.json"
done

# A check that cannot fail proves nothing.
/usr/bin/python3 -c '
import json, sys
t = json.load(open(sys.argv[1])); t["steps"][0]["what"] = "Juggle"; json.dump(t, open(sys.argv[2], "w"))' \
    "$scratch/1/steps.json" "$scratch/wrong.json"
not() { ! "$@"; }
check "a row that is missing is found" not all_rows "$scratch/1/traveller.pdf" "$scratch/wrong.json"

# ---- other scripts, other paper, other machines -----------------------------------------------------------------------
mkdir "$scratch/scripts" && cp -r recipes/demo/shop "$scratch/scripts"
sed -e 's/"Lid, river-level logger"/"水位計の蓋 — מכסה — غطاء"/' -e 's/"Stand the lids apart/"הסר את המכסה. Stand/' \
    recipes/demo/river-logger-lid.recipe >"$scratch/scripts/lid.recipe"
unknown=$(printf '\U103A0')
sed "s/Lid, river-level logger/Lid $unknown/" recipes/demo/river-logger-lid.recipe >"$scratch/scripts/unknown.recipe"
build_scripts() { "$STROKEWRIGHT" build "$scratch/scripts/$1.recipe" --out "$scratch/scripts/$1" "${@:2}" 2>&1; }
title_is() { pdfinfo "$1" | grep -q "^Title: *$2\$"; }
says() { grep -qF -- "$1" <<<"$2" || { echo "$2"; return 1; }; }
page_size() { pdfinfo "$1" | grep -q "^Page size: *$2"; }
every_letter() { # no letter of the title is lost: sorted, for the order of right-to-left words is the reader's own
    local want got
    want=$(grep -o . <<<'水位計の蓋מכסהغطاء' | sort | tr -d '\n')
    got=$(pdftotext -f 1 -l 1 "$1" - | grep -oP '[\x{0590}-\x{06FF}\x{3040}-\x{9FFF}]' | sort | tr -d '\n')
    [ "$want" = "$got" ] || { echo "$want"; echo "$got"; return 1; }
}
check "scripts: made" says traveller.pdf "$(build_scripts lid --only traveller,flow --paper letter)"
check "scripts: nothing is missing" not says 'no font' "$(build_scripts lid --only traveller)"
check "scripts: qpdf" qpdf --check "$scratch/scripts/lid/traveller.pdf"
check "scripts: fonts" fonts_embedded "$scratch/scripts/lid/traveller.pdf"
check "scripts: letters" every_letter "$scratch/scripts/lid/traveller.pdf"
check "scripts: A4" is_a4 "$scratch/scripts/lid/traveller.pdf"
build_scripts lid --only traveller --paper letter >/dev/null
check "letter paper" page_size "$scratch/scripts/lid/traveller.pdf" '612 x 792 pts (letter)'
check "no such paper" says 'there are a4, letter' "$(build_scripts lid --paper a5)"
check "a character of no font is told" says 'U+103A0; boxes' "$(build_scripts unknown --only traveller)"
# Fontconfig looks for all its folders below this one.
check "a missing font is told with its package" says 'apt-get install fonts-dejavu-core' \
    "$(FONTCONFIG_SYSROOT=/nowhere build_scripts lid --only traveller)"

one_entry() {
    nm -D --defined-only "$1" | awk '{ print $3 }' | grep -qx strokewright_pages && [ "$(nm -D --defined-only "$1" | wc -l)" = 1 ]
}
linked() { ldd "$1" | grep -E 'libcairo|libpango|libgvc|libcgraph'; }
# The sanitizers and the coverage counters export symbols of their own.
[ "$B" != build ] || check "one entry point" one_entry "$B/strokewright-pages.so"
check "the pages are linked with the drawing libraries" linked "$B/strokewright-pages.so"
[ ! -x "$STROKEWRIGHT" ] || check "the command is not" not linked "$STROKEWRIGHT"

for recipe in recipes/demo/*.recipe; do
    [ -x "$STROKEWRIGHT" ] || break
    dir=$scratch/$(basename "$recipe" .recipe)
    "$STROKEWRIGHT" build "$recipe" --out "$dir" >/dev/null 2>&1
    [ -e "$dir/traveller.pdf" ] || continue
    check "$recipe: qpdf" qpdf --check "$dir/traveller.pdf"
    check "$recipe: fonts" fonts_embedded "$dir/traveller.pdf"
    check "$recipe: every row" all_rows "$dir/traveller.pdf" "$dir/steps.json"
    for chart in temperatures force size-moves margins; do
        check "$recipe: $chart stays inside" svg_inside "$dir/$chart.svg"
    done
    check "$recipe: margins stand apart" svg_apart "$dir/margins.svg"
    for sheet in tool-sheet inspection; do
        check "$recipe: $sheet: qpdf" qpdf --check "$dir/$sheet.pdf"
        check "$recipe: $sheet: every size" has_all "$dir/$sheet.pdf" "$dir/steps.json" \
            "$([ $sheet = inspection ] && echo part || echo cold)"
    done
    check "$recipe: SVG" xmllint --noout "$dir/flow.svg"
done
recipe=recipes/demo/river-logger-lid.recipe
for sheet in traveller tool-sheet inspection; do
    check "$sheet: the code reads" code_reads "$scratch/river-logger-lid/$sheet.pdf" "$recipe" 'RL-204 C'
done
# ---- what a page must have ------------------------------------------------------------------------------------------

lid=$scratch/river-logger-lid cup=$scratch/battery-cup
pages_of() { [ "$(pdfinfo "$1" | awk '/^Pages:/ { print $2 }')" = "$2" ] || { pdfinfo "$1"; return 1; }; }
set_up_has() { # JSON, labels...: of what is set at the press, apart from the tools
    for label in "${@:2}"; do
        jq -e --arg l "$label" '.setup | any(.label == $l and .reader == "press")' "$1" >/dev/null ||
            { echo "no $label"; return 1; }
    done
}
check "the author is named" first_page_says "$lid/traveller.pdf" AUTHOR 'process engineering'
check "all cautions stand on the first page" first_page_says "$lid/traveller.pdf" 'Local codes, the documents'
check "the card has speeds, pressures and the warm-up" set_up_has "$lid/steps.json" 'ram speed' 'bottoming pressure' \
    'time until ready' 'press force'
check "the card has the oven and the holder" set_up_has "$cup/steps.json" 'oven temperature' 'holder pressure'
check "sections that go on are named" sections_go_on "$lid/traveller.pdf"
check "samples fill their page and begin no other" pages_of "$lid/inspection.pdf" 1
check "a force far below the press's has a scale of its own" grep -q 'beyond this scale' "$cup/force.svg"
check "a goal's words do not cross the edge of its stretch" grep -q '>must be 215.*C</text>' "$cup/temperatures.svg"
for name in river-logger-lid sensor-frame battery-cup; do
    check "$name: sizes stand apart" svg_apart "$scratch/$name/size-moves.svg"
done
check "a chosen value is called by its tool" says_somewhere "$lid/traveller.pdf" 'Die RL-204-1: temperature'
"$STROKEWRIGHT" build "$recipe" --lang de --only traveller --out "$scratch/de" >/dev/null
check "headings keep their words whole" says_somewhere "$scratch/de/traveller.pdf" GEMESSEN Entformungstemperatur \
    Stößelgeschwindigkeit
for language in de es; do
    "$STROKEWRIGHT" build recipes/demo/sensor-frame.recipe --lang $language --only flow --out - >"$scratch/flow-$language.svg"
    check "flow, $language: number and unit in one line" grep -q '20.*mm/s,</text>' "$scratch/flow-$language.svg"
done
check "flow, de: its type is not set small" grep -q 'font-size="7.4"[^>]*>Stößelgeschwindigkeit' "$scratch/flow-de.svg"
"$STROKEWRIGHT" build "$recipe" --lang de --only inspection --out "$scratch/de" >/dev/null
check "capitals of German" says_somewhere "$scratch/de/inspection.pdf" HÖCHSTMAẞ
# What is long stays whole: more features than a sentence names, a part number that fills the head.
mkdir "$scratch/large" && cp -r recipes/demo/shop "$scratch/large"
/usr/bin/python3 -c '
import sys
text = open(sys.argv[1], encoding="utf-8").read()
names = ["size-%d" % i for i in range(300)]
extra = "".join("dimension %s {\n size = %d mm +/- 0.5 mm\n set-by = die\n side = outside\n}\n" % (n, 20 + i % 150)
                for i, n in enumerate(names))
text = text.replace("hole-pitch screws {", extra + "hole-pitch screws {")
text = text.replace("measure  = overall-length,", "measure  = " + ", ".join(names) + ", overall-length,")
text = text.replace("\"RL-204\"", "\"RL-204-UPPER-HALF-OF-THE-SECOND-TOOLING-SET-VARIANT-B\"")
open(sys.argv[2], "w", encoding="utf-8").write(text)' "$recipe" "$scratch/large/lid.recipe"
"$STROKEWRIGHT" build "$scratch/large/lid.recipe" --only inspection,steps-json --out "$scratch/large/out" >/dev/null
all_measured() {
    jq -e '.steps[-1] | (.settings | length) == 306 and (.what | test("size 7 and 296 more"))' "$1"
}
check "three hundred features are measured, and the sentence says so" all_measured "$scratch/large/out/steps.json"
check "a long part number leaves the fingerprint whole" says_somewhere "$scratch/large/out/inspection.pdf" \
    "VARIANT-B, rev. C, 2026-11-02, TRIAL, fingerprint $(jq -r '.recipe.fingerprint[:12]' "$scratch/large/out/steps.json")"
"$STROKEWRIGHT" build "$recipe" --lang ja --only traveller --out "$scratch/ja" >/dev/null
has_font() { pdffonts "$1" | grep -qF "$2" || { pdffonts "$1"; return 1; }; }
check "Japanese is set in Japanese letters" has_font "$scratch/ja/traveller.pdf" NotoSansCJKjp-Regular
check "and its headings are bold" has_font "$scratch/ja/traveller.pdf" NotoSansCJKjp-Bold
check "a code of something else is found" not code_reads "$scratch/river-logger-lid/traveller.pdf" "$recipe" 'RL-204 D'
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
