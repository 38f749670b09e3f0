#!/usr/bin/env bash
# The CSV files as Python's csv module reads them (RFC 4180, strict), beside the JSON of the same table.
set -u
cd "$(dirname "$0")/../.." || exit 1
B=${B:-build}
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
words=(lid long '=1+2' '","=cmd|A0' '-2+3' $'@x\r\n=1' '"' "'" ' +1' ';=1')
for i in "${!words[@]}"; do
    mkdir "$scratch/$i" && "$B"/tests/unit/test_emit_pages --write "$scratch/$i" "${words[$i]}" || exit 1
done

/usr/bin/python3 - "$scratch" <<'PYTHON'
import csv, glob, json, sys

scratch, passed, failed = sys.argv[1], 0, 0

def check(name, good, why=""):
    global passed, failed
    passed, failed = (passed + 1, failed) if good else (passed, failed + 1)
    if not good:
        print(f"{name}: {why}")

def rows(path):
    with open(path, newline="", encoding="utf-8") as file:
        return list(csv.reader(file, strict=True))

def is_number(text):
    try:
        float(text)
        return True
    except ValueError:
        return False

for path in sorted(glob.glob(scratch + "/*/*.csv")):
    table = rows(path)
    check(path, len({len(row) for row in table}) == 1, "rows of different length")
    bad = [cell for row in table for cell in row if cell.strip()[:1] in tuple("=+-@") and cell.strip() and not is_number(cell)]
    check(path, not bad, f"would run as a formula: {bad[:3]}")
    raw = open(path, "rb").read()
    check(path, raw.endswith(b"\r\n") and raw.count(b"\n") == raw.count(b"\r\n"), "line ends")

# The same numbers as in the JSON, to the last bit.
table = json.load(open(scratch + "/0/steps.json", encoding="utf-8"))
settings = [s for step in table["steps"] for s in step["settings"]]
head, *body = rows(scratch + "/0/steps.csv")
check("lines", len(body) == len(settings), f"{len(body)} lines for {len(settings)} settings")
for row, s in zip(body, settings):
    cell = dict(zip(head, row))
    same = all((float(cell[k]) if cell[k] else None) == s[k] for k in ("value", "low", "high"))
    check(s["path"], same and cell["unit"] == s["unit"] and cell["label"] == s["label"], str(cell))
head, *body = rows(scratch + "/0/tool-sizes.csv")
for row, s in zip(body, table["sizes"]):
    cell = dict(zip(head, row))
    for mine, theirs in (("part", "part"), ("tool_cold", "cold"), ("tool_hot", "hot"), ("finished", "finished")):
        check(s["feature"], (float(cell[mine]) if cell[mine] else None) == s[theirs]["value"], str(cell))
print(f"{passed} passed, {failed} failed")
sys.exit(failed > 0)
PYTHON
