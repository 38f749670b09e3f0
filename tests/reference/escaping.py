"""Texts that would break out, through every output and back with other people's readers: escaping.py STROKEWRIGHT FOLDER

Texts are drawn at random, always the same ones, from what the formats give a meaning to. Each must come back from HTML,
SVG, CSV, JSON and DOT as what was written, and none may be taken for markup, a formula or an attribute.
"""
import csv
import html.parser
import json
import pathlib
import random
import re
import subprocess
import sys
import xml.etree.ElementTree as xml

tool, folder = sys.argv[1], pathlib.Path(sys.argv[2])
pieces = ["<", ">", "&", '"', "'", "<b>", "</td>", "</title>", "<script>alert(1)</script>", "<!--", "-->", "]]>", "<![CDATA[",
          "&amp;", "&#60;", "&lt;", "=1+2", "=HYPERLINK(\"x\")", "+1", "-1", "@SUM(A1)", "\t", "\n", "\\", "\\N", "\\l", "{", "}",
          "{x|y}", "<<TABLE>>", "];", "->", "%s", "%n", "$x", ";", ",", "|", "\u00a0", "\u3000", "＝1", "א", "漢字",
          "é", "e\u0301", "😀", "word", " ", "  ", "x='y'", "onload=1", "javascript:", "\u2028", "`", "#", "12.5"]
FIELDS = ["title", "part", "revision", "author", "press", "die", "instruction", "check", "reaction", "feature"]
passed = failed = 0


def check(what, good, detail=""):
    global passed, failed
    if good:
        passed += 1
    else:
        failed += 1
        print(f"{what}: {detail!r}")


def hidden(c):
    n = ord(c)
    return n < 0x20 or 0x7F <= n < 0xA0 or 0x202A <= n <= 0x202E or 0x2066 <= n <= 0x2069 or n == 0xFEFF


def plain(text):  # compiler/emit/escape.h: line breaks and tabs as a blank, what is hidden as U+FFFD
    return "".join(" " if c in "\t\n\r\u2028\u2029" else "\ufffd" if hidden(c) else c for c in text)


def quoted(text):  # as the recipe language writes it
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("{", "\\{").replace("\n", "\\n") + '"'


def recipe(texts):
    t = {name: quoted(text) for name, text in texts.items()}
    return f"""recipe hostile {{
    title = {t["title"]}
    part = {t["part"]}
    revision = {t["revision"]}
    date = 2026-11-02
    status = trial
    author = {t["author"]}
}}
press main {{
    title = {t["press"]}
    capacity = 400 kN
}}
sheet {{
    alloy = az31b-o
    thickness = 0.50 mm
}}
tool die {{
    title = {t["die"]}
    material = h13
    temperature = 200 degC
}}
dimension overall {{
    title = {t["feature"]}
    size = 168.00 mm +/- 0.10 mm
    set-by = die
}}
steps {{
    heat-up blank {{
        between = die
        contact = 1800 W/(m^2*K)
        time = 2.5 s
        instruction = {t["instruction"]}
    }}
    stroke form {{
        speed = 25 mm/s
        hold = 1 s
        check = {t["check"]}
        reaction = {t["reaction"]}
    }}
}}
"""


class Page(html.parser.HTMLParser):
    """Text by element, and every element and attribute that there is."""
    VOID = {"meta", "br", "hr", "img", "link", "input"}

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.stack, self.texts, self.elements, self.attributes, self.balanced = [], [], set(), set(), True
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attributes):
        self.elements.add(tag)
        self.attributes.update(name for name, _ in attributes)
        if tag not in self.VOID:
            self.stack.append((tag, len(self.texts)))
            self.texts.append("")

    handle_startendtag = lambda self, tag, attributes: (self.elements.add(tag), self.attributes.update(n for n, _ in attributes))

    def handle_endtag(self, tag):
        if not self.stack or self.stack.pop()[0] != tag:
            self.balanced = False

    def handle_data(self, data):
        for _, text in self.stack[-1:]:
            self.texts[text] += data


def squeezed(text):
    """Blanks of every kind count as one: print spelling joins a number to its unit."""
    return re.sub(r"[\s\u00a0]+", " ", text).strip()


def formula(cell):
    cell = cell.lstrip(" \u00a0\u3000")
    return bool(cell) and cell[0] in "=+-@\t\r＝＋－＠" and not re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?", cell, re.I)


def build(texts):
    (folder / "case.recipe").write_text(recipe(texts), encoding="utf-8")
    done = subprocess.run([tool, "build", "case.recipe", "--only", "report,flow,flow-dot,steps,steps-csv,steps-json,sizes-csv,limits-csv",
                           "--out", "out"], cwd=folder, capture_output=True, text=True)
    check("built", done.returncode == 0, done.stderr[:300])
    return done.returncode == 0


known_elements = known_attributes = None
chance = random.Random(20261102)
for number in range(40):
    texts = {name: "".join(chance.choice(pieces) for _ in range(chance.randint(1, 6))) + "." for name in FIELDS}
    if number == 0:
        texts = {name: "word" for name in FIELDS}
    if not build(texts):
        continue
    out = folder / "out"

    page = Page((out / "report.html").read_text(encoding="utf-8"))
    if number == 0:
        known_elements, known_attributes = page.elements, page.attributes
    check(f"{number}: HTML is balanced", page.balanced and not page.stack, page.stack)
    check(f"{number}: HTML has no other elements", page.elements <= known_elements, page.elements - known_elements)
    check(f"{number}: HTML has no other attributes", page.attributes <= known_attributes, page.attributes - known_attributes)
    said = {squeezed(t) for t in page.texts}
    for name in ("title", "part", "author", "instruction", "check", "reaction", "feature"):
        # A minus and the signs of a band are respelled for print, so those texts are compared where nothing is.
        if not re.search(r"-\d|\.\. |\+/-", texts[name]) and texts[name].strip(".\t\n "):
            check(f"{number}: HTML holds the {name}", squeezed(plain(texts[name])) in said, texts[name])

    svg = xml.parse(out / "flow.svg")
    tags = {e.tag.split("}")[1] for e in svg.iter()}
    check(f"{number}: SVG has no other elements", tags <= {"svg", "title", "desc", "rect", "path", "text", "g"}, tags)

    for file in ("steps.csv", "tool-sizes.csv", "limits.csv"):
        rows = list(csv.reader((out / file).read_text(encoding="utf-8").splitlines(True)))
        check(f"{number}: {file} is a table", len({len(r) for r in rows}) == 1, [len(r) for r in rows])
        cells = [c for r in rows for c in r]
        check(f"{number}: {file} has no formula", not [c for c in cells if formula(c)], [c for c in cells if formula(c)])
    cells = {c for r in csv.reader((out / "steps.csv").read_text(encoding="utf-8").splitlines(True)) for c in r}
    cells |= {c.removeprefix("'") for c in cells}  # which makes a formula a text
    for name in ("instruction", "check", "reaction"):
        check(f"{number}: CSV holds the {name}", plain(texts[name]) in cells, texts[name])

    table = json.loads((out / "steps.json").read_text(encoding="utf-8"))
    check(f"{number}: JSON holds the title", plain(texts["title"]) in json.dumps(table, ensure_ascii=False).encode().decode()
          or any(plain(texts["title"]) == v for v in table["recipe"].values() if isinstance(v, str)), texts["title"])

    drawn = subprocess.run(["dot", "-Tjson0", out / "flow.dot"], capture_output=True, text=True)
    graph = json.loads(drawn.stdout) if drawn.returncode == 0 else {"objects": []}
    check(f"{number}: DOT has its nodes and no other", len(graph["objects"]) == 4, (drawn.stderr, [o["name"] for o in graph["objects"]]))
    check(f"{number}: DOT has no other attributes", not [o for o in graph["objects"] if {"URL", "href", "onload", "tooltip"} & set(o)])

    shown = (out / "steps.txt").read_text(encoding="utf-8")
    check(f"{number}: text has no controls", not [c for c in shown if hidden(c) and c != "\n"])

print(f"{passed} passed, {failed} failed")
sys.exit(failed > 0)
