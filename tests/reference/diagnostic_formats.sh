#!/usr/bin/env bash
# check --format json and sarif, over every golden recipe and over hostile ones: valid after the schemas, and the same
# faults at the same places as the text form.
#
# The SARIF schema is the one OASIS published with SARIF 2.1.0, as an npm package carries it; it is kept in the build
# folder. Where npm cannot be reached, only the subset written down here by hand is checked, and the test says so.
set -u
cd "$(dirname "$0")/../.." || exit 1
package=@microsoft/jest-sarif version=1.0.0-beta.0
schema=$B/npm/sarif-2.1.0-rtm.5.json
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
export SOURCE_DATE_EPOCH=1795564800

if [ ! -s "$schema" ] && command -v npm >/dev/null; then
    mkdir -p "$B/npm"
    (cd "$scratch" && timeout 60 npm pack --silent "$package@$version" >/dev/null 2>&1 && tar xzf ./*.tgz) &&
        cp "$scratch/package/lib/schemas/sarif-2.1.0-rtm.5.json" "$schema"
fi
[ -s "$schema" ] || { echo 'the published SARIF schema cannot be had from npm: only our subset of it is checked'; schema=; }

mkdir "$scratch/cases" && cd "$scratch/cases" || exit 1
for case in "$OLDPWD"/tests/golden/fault-*; do
    [ -e "$case/case.recipe" ] && mkdir "${case##*/}" && cp -r "$case"/* "${case##*/}/"
done
mkdir wide && printf 'let a = 1\nrequire "\xf0\x9f\x94\xa5\xe6\xb8\xa9" == 3 mmm because "{hot} [x](1)"\t\xf0\x9f\x94\xa5 $\n' >wide/case.recipe
mkdir 'a name: 50 %' && printf 'sheet {\n    thickness = 0.50 mmm\n    alloy = \xff\x01\n}\n' >'a name: 50 %/case.recipe'
mkdir used && printf 'use "shop.recipe"\n' >used/case.recipe && printf 'shop {\n    temperature = 20 mm\n}\n' >used/shop.recipe
mkdir many && for i in $(seq 1200); do echo "let v$i = 1 mmm"; done >many/case.recipe

/usr/bin/python3 - "$OLDPWD" "$STROKEWRIGHT" "${schema:+$OLDPWD/$schema}" <<'PYTHON'
import copy, glob, json, os, re, subprocess, sys
from urllib.parse import unquote
from jsonschema import Draft7Validator, Draft202012Validator

root, tool, published = sys.argv[1:]
passed, failed = 0, 0

def check(name, good, why=""):
    global passed, failed
    passed, failed = (passed + 1, failed) if good else (passed, failed + 1)
    if not good:
        print(f"{name}: {why}")

def run(*words):
    p = subprocess.run([tool, "check", *words], capture_output=True)
    return p.stdout.decode(), p.stderr.decode(), p.returncode

line_schema = json.load(open(root + "/compiler/emit/diagnostic.schema.json"))
Draft202012Validator.check_schema(line_schema)
lines_valid = Draft202012Validator(line_schema)

# By hand, after sections 3.13 to 3.38 of the standard: what is said of members that we write.
text = {"type": "object", "required": ["text"], "properties": {"text": {"type": "string", "minLength": 1}}}
artifact = {"type": "object", "required": ["uri"], "properties": {"uri": {"type": "string", "pattern": "^(file:///)?[A-Za-z0-9._~/%-]+$"}}}
region = {"type": "object", "required": ["startLine", "startColumn", "endLine", "endColumn"],
          "additionalProperties": {"type": "integer", "minimum": 1}}
location = {"type": "object", "required": ["physicalLocation"], "properties": {"message": text, "physicalLocation": {
    "type": "object", "required": ["artifactLocation"], "properties": {"artifactLocation": artifact, "region": region}}}}
result = {"type": "object", "required": ["ruleId", "ruleIndex", "level", "message", "locations"], "properties": {
    "ruleIndex": {"type": "integer", "minimum": 0}, "level": {"enum": ["none", "note", "warning", "error"]}, "message": text,
    "locations": {"type": "array", "minItems": 1, "items": location}, "relatedLocations": {"type": "array", "items": location}}}
subset = {"type": "object", "required": ["version", "runs", "$schema"], "additionalProperties": False, "properties": {
    "$schema": {"type": "string"}, "version": {"const": "2.1.0"}, "runs": {"type": "array", "minItems": 1, "items": {
        "type": "object", "required": ["tool", "results", "columnKind", "invocations"], "properties": {
            "columnKind": {"enum": ["utf16CodeUnits", "unicodeCodePoints"]}, "results": {"type": "array", "items": result},
            "tool": {"type": "object", "required": ["driver"], "properties": {"driver": {
                "type": "object", "required": ["name", "version", "rules"], "properties": {"rules": {"type": "array",
                    "items": {"type": "object", "required": ["id", "shortDescription", "fullDescription", "help"]}}}}}}}}}}}
validators = [Draft7Validator(subset)]
if published:
    schema = json.load(open(published))
    check("the published schema is that of 2.1.0", schema["properties"]["version"]["enum"] == ["2.1.0"], schema.get("title"))
    validators.append(Draft7Validator(schema))

def faults_of(log):
    return [f"{list(f.absolute_path)}: {f.message}"[:300] for v in validators for f in v.iter_errors(log)]

def unique(pairs):
    names = [name for name, _ in pairs]
    assert len(names) == len(set(names)), "a name twice"
    return dict(pairs)

def utf16_column(data, offset):
    start = data.rfind(b"\n", 0, offset) + 1
    return len(data[start:offset].decode("utf-8", "replace").encode("utf-16-le")) // 2 + 1

seen = set()
for path in sorted(glob.glob("*/case.recipe")):
    said, errors, status = run("--format", "json", path)
    plain = run(path)
    rows = [json.loads(line, object_pairs_hook=unique) for line in said.splitlines()]
    wrong = [f.message for row in rows for f in lines_valid.iter_errors(row)]
    check(path + ": lines", not wrong, wrong[:3])
    rows = [row for row in rows if "id" in row]
    seen |= {row["id"] for row in rows}
    check(path + ": status", status == plain[2] and not errors, (status, plain[2], errors))
    heads = re.findall(r"^(?:(\S.*?):(\d+):(\d+): )?(error|warning|note): .*\[([a-z0-9-]+)\]$", plain[1], re.M)
    want = [(f, int(l or 0), int(c or 0), s, i) for f, l, c, s, i in heads]
    got = [(r.get("file", ""), r.get("line", 0), r.get("column", 0), r["severity"], r["id"]) for r in rows]
    check(path + ": as the text form", want == got, f"{set(want) ^ set(got)}")

    log_text, errors, status = run("--format", "sarif", path)
    log = json.loads(log_text, object_pairs_hook=unique)
    wrong = faults_of(log)
    check(path + ": sarif", not wrong, wrong[:3])
    run_ = log["runs"][0]
    rules = [rule["id"] for rule in run_["tool"]["driver"]["rules"]]
    check(path + ": rules once", len(rules) == len(set(rules)))
    check(path + ": results", [(r["level"], r["ruleId"]) for r in run_["results"]] == [(r["severity"], r["id"]) for r in rows])
    check(path + ": rule index", all(rules[r["ruleIndex"]] == r["ruleId"] for r in run_["results"]))
    check(path + ": success", run_["invocations"][0] ["exitCode"] == status and run_["invocations"][0]["executionSuccessful"])
    for row, r in list(zip(rows, run_["results"]))[:20]:
        where = r["locations"][0]["physicalLocation"]
        if "file" not in row or row["file"].startswith("library/"):
            continue
        check(path + ": uri", unquote(where["artifactLocation"]["uri"]) == row["file"], where)
        data = open(row["file"], "rb").read()
        column = utf16_column(data, row["offset"])
        check(path + ": column", where["region"]["startColumn"] == column and where["region"]["startLine"] == row["line"], (where, column))

    # An edit is sure: applied, the fault is gone.
    for row in rows[:20]:
        edit = row.get("edit")
        if not edit or edit["file"] != path:
            continue
        data = open(path, "rb").read()
        mended = data[:edit["offset"]] + edit["text"].encode() + data[edit["offset"] + edit["length"]:]
        open(path, "wb").write(mended)
        after = [json.loads(line) for line in run("--format", "json", path)[0].splitlines()]
        open(path, "wb").write(data)
        there = [r for r in after if (r.get("id"), r.get("line"), r.get("column")) == (row["id"], row["line"], row["column"])]
        check(f"{path}: edit of {row['id']}", not there, row)
check("faults met", len(seen) > 80, len(seen))

wide = json.loads(run("--format", "sarif", "wide/case.recipe")[0])["runs"][0]["results"]
check("wide characters", wide and wide[0]["locations"][0]["physicalLocation"]["region"]["startColumn"] > 1, wide)
many = [json.loads(line) for line in run("--format", "json", "many/case.recipe")[0].splitlines()]
check("what is beyond the limit is counted", many[-1].get("not_shown") == 200, many[-1])
log = json.loads(run("--format", "sarif", "many/case.recipe", "nowhere.recipe", "used/case.recipe")[0])
notes = log["runs"][0]["invocations"][0]
check("several", not faults_of(log) and notes["exitCode"] == 2 and not notes["executionSuccessful"], notes)
check("what could not be read is in the log", any("nowhere.recipe" in n["message"]["text"] for n in notes["toolExecutionNotifications"]))
check("and in the lines", json.loads(run("--format", "json", "nowhere.recipe")[0])["id"] == "unreadable-file")
used = log["runs"][0]["results"][-1]
check("a fault of a used file", used["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] == "used/shop.recipe", used)

# Validators that find nothing prove nothing.
def spoilt(change):
    bad = copy.deepcopy(log)
    change(bad["runs"][0])
    return all(any(True for _ in v.iter_errors(bad)) for v in validators)
check("level", spoilt(lambda r: r["results"][0].update(level="fatal")))
check("no message", spoilt(lambda r: r["results"][0].pop("message")))
check("a line as text", spoilt(lambda r: r["results"][0]["locations"][0]["physicalLocation"]["region"].update(startLine="1")))
check("no tool", spoilt(lambda r: r.pop("tool")))
check("a line of ours", any(True for _ in lines_valid.iter_errors({**many[0], "extra": 1})))
check("a place without its file", any(True for _ in lines_valid.iter_errors({k: v for k, v in many[0].items() if k != "file"})))
print(f"{passed} passed, {failed} failed")
sys.exit(failed > 0)
PYTHON
