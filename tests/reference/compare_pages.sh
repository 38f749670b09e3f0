#!/usr/bin/env bash
# The comparison's HTML and Markdown as strangers read them, from recipes whose words try to be tags, cells and links: HTML
# by Python's parser, Markdown by the rules of CommonMark 0.31 (code spans, 6.1) and GitHub's tables (GFM 0.29, 4.10).
set -u
cd "$(dirname "$0")/../.." || exit 1
B=${B:-build}
tool=${STROKEWRIGHT:-$B/strokewright}
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
cp -r recipes/demo/. tests/revisions/*.recipe "$scratch"
pairs=("lid-b.recipe river-logger-lid.recipe" "river-logger-lid.recipe failing/lid-cold.recipe" "battery-cup.recipe sensor-frame.recipe")
for name in html markdown json; do
    mkdir "$scratch/hostile-$name" && cp "tests/golden/compare-$name"/*.recipe "$scratch/hostile-$name"
done
pairs+=("hostile-html/old.recipe hostile-html/new.recipe" "hostile-markdown/new.recipe hostile-markdown/old.recipe")
n=0
for pair in "${pairs[@]}"; do
    n=$((n + 1))
    read -r old new <<<"$pair"
    for format in html markdown json; do
        (cd "$scratch" && "$tool" compare --all --format $format "$old" "$new" >"$n.$format")
    done
done

/usr/bin/python3 - "$scratch" <<'PYTHON'
import glob, html.parser, json, os, re, sys

scratch, passed, failed = sys.argv[1], 0, 0

def check(name, good):
    global passed, failed
    passed, failed = passed + bool(good), failed + (not good)
    if not good:
        print("compare:", name)

TAGS = {"html", "head", "meta", "title", "style", "body", "h1", "h2", "p", "dl", "dt", "dd", "table", "thead", "tbody",
        "tr", "th", "td", "small"}
ATTRIBUTES = {"lang", "charset", "name", "content", "class", "style"}

class Page(html.parser.HTMLParser):
    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.open, self.faults, self.words, self.tables, self.cells = [], [], [], [], 0

    def handle_starttag(self, tag, attributes):
        self.faults += [f"tag {tag}"] * (tag not in TAGS)
        self.faults += [f"attribute {name}" for name, _ in attributes if name not in ATTRIBUTES]
        if tag != "meta":
            self.open.append(tag)
        if tag == "table":
            self.tables.append(set())
        self.cells = 0 if tag == "tr" else self.cells + (tag in ("td", "th"))

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"</{tag}>")
        if tag == "tr":
            self.tables[-1].add(self.cells)

    def handle_data(self, data):
        if "style" not in self.open:
            self.words.append(data)

def spans(line):
    """The line's code spans' contents, and what is left of it without them."""
    out, rest, at = [], "", 0
    for fence in iter(lambda: re.compile("`+").search(line, at), None):
        rest += line[at:fence.start()]
        close = re.compile("(?<!`)" + fence.group() + "(?!`)").search(line, fence.end())
        if not close:
            rest, at = rest + fence.group(), fence.end()
            continue
        out.append(line[fence.end():close.start()])
        at = close.end()
    return out, rest + line[at:]

def cells(row):
    return len(re.findall(r"(?<!\\)\|", row))

for path in sorted(glob.glob(scratch + "/*.html")):
    name, page, text = os.path.basename(path), Page(), open(path, encoding="utf-8").read()
    page.feed(text)
    page.close()
    data = json.load(open(path.replace(".html", ".json"), encoding="utf-8"))
    words = "".join(page.words)
    check(f"{name}: {page.faults[:5]}, {page.open}", not page.faults and not page.open)
    check(f"{name}: rows of unlike length", page.tables and all(len(t) == 1 for t in page.tables))
    check(f"{name}: reaches out", not re.search(r"<(script|link|img|a|iframe)\b|url\(|@import", text))
    stated = [r for r in data["stated"] if r["old_value"] is None and r["new_value"] is None]
    check(f"{name}: words are lost", all(w in words for r in stated for w in (r["old"], r["new"]) if w))

for path in sorted(glob.glob(scratch + "/*.markdown")):
    name = os.path.basename(path)
    lines = open(path, encoding="utf-8").read().split("\n")
    table = None
    for line in lines:
        inside, rest = spans(line)
        left = re.sub(r"</?details>|</?summary>|<summary>|\*\*worse\*\*|\\\|", "", rest)
        check(f"{name}: outside of code: {left}", not re.search(r"[<>*_`@#\[\]\\]", left.lstrip("#> ")))
        table = (table or cells(line)) if line.startswith("|") else None
        check(f"{name}: cells of {line}", table is None or cells(line) == table)
    check(f"{name}: nothing in it", any(l.startswith("| changed") for l in lines))

print(f"{passed} passed, {failed} failed")
sys.exit(bool(failed))
PYTHON
