#!/usr/bin/env bash
# The JSON step table against compiler/emit/step-table.schema.json, with a validator that is not ours (python3-jsonschema,
# JSON Schema 2020-12), and against the words it was made from. Samples by hand, and every demo recipe the command builds.
set -u
cd "$(dirname "$0")/../.." || exit 1
B=${B:-build}
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
samples=(lid long empty)
hostile='"\u0000</script>\\ {"a": [1]} '$'\x01\xff\xe2\x80\xae'' =1+1'
for name in "${samples[@]}"; do
    mkdir "$scratch/$name" && "$B"/tests/unit/test_emit_pages --write "$scratch/$name" "$name" || exit 1
done
mkdir "$scratch/hostile" && "$B"/tests/unit/test_emit_pages --write "$scratch/hostile" "$hostile" || exit 1
# A recipe may fail its limits or still have faults: what the command does write must be right.
for recipe in recipes/demo/*.recipe; do
    [ -x "${STROKEWRIGHT:=$B/strokewright}" ] || break
    "$STROKEWRIGHT" build "$recipe" --out "$scratch/$(basename "$recipe" .recipe)" >/dev/null 2>&1
    "$STROKEWRIGHT" value "$recipe" --json >"$scratch/$(basename "$recipe" .recipe).values" 2>/dev/null
done

/usr/bin/python3 - "$scratch" <<'PYTHON'
import copy, glob, json, os, sys
from jsonschema import Draft202012Validator, FormatChecker

schema = json.load(open("compiler/emit/step-table.schema.json"))
scratch, passed, failed = sys.argv[1], 0, 0

def check(name, good, why=""):
    global passed, failed
    passed, failed = (passed + 1, failed) if good else (passed, failed + 1)
    if not good:
        print(f"{name}: {why}")

def no_twice(pairs):
    names = [name for name, _ in pairs]
    assert len(names) == len(set(names)), "a name twice"
    return dict(pairs)

def no_constant(word):
    raise ValueError(word + " is no JSON")

def read(path):
    return json.load(open(path, encoding="utf-8"), object_pairs_hook=no_twice, parse_constant=no_constant)

Draft202012Validator.check_schema(schema)
validator = Draft202012Validator(schema, format_checker=FormatChecker())
values = Draft202012Validator({"$ref": "#/$defs/values", "$defs": schema["$defs"]})
for path in sorted(glob.glob(scratch + "/*/steps.json")):
    name = os.path.basename(os.path.dirname(path))
    table = read(path)
    faults = list(validator.iter_errors(table))
    if name == "hostile":  # its status and date are no status and date
        faults = [f for f in faults if list(f.path) not in (["recipe", "status"], ["recipe", "date"])]
    check(name, not faults, "; ".join(f"{list(f.path)}: {f.message}" for f in faults[:5]))
for path in sorted(glob.glob(scratch + "/*.values")):
    text = open(path, encoding="utf-8").read()
    if text:
        faults = list(values.iter_errors(json.loads(text)))
        check(os.path.basename(path), not faults, str(faults[:3]))

# What stands in the file is what the sample says.
lid = read(scratch + "/lid/steps.json")
check("numbers", [s["number"] for s in lid["steps"]] == [10, 20, 30, 40, 50, 60])
reach = [s for s in lid["steps"][2]["settings"] if s["name"] == "reach"][0]
check("range", (reach["value"], reach["low"], reach["high"], reach["unit"]) == (None, 190, 210, "degC"))
check("rework", [s["rework"] for s in lid["steps"]] == [None] * 5 + [30])
evil = read(scratch + "/hostile/steps.json")
want = '"\\u0000</script>\\\\ {"a": [1]} \ufffd\ufffd\ufffd =1+1'
check("hostile", evil["recipe"]["title"] == want, repr(evil["recipe"]["title"]))

# A validator that finds nothing proves nothing: each of these must be refused.
def spoilt(change):
    table = copy.deepcopy(lid)
    change(table)
    return any(True for _ in validator.iter_errors(table))
check("unknown member", spoilt(lambda t: t["steps"][0].update(extra=1)))
check("unknown member of a setting", spoilt(lambda t: t["steps"][0]["settings"][0].update(extra=1)))
check("number as text", spoilt(lambda t: t["sizes"][0]["part"].update(value="168")))
check("missing member", spoilt(lambda t: t["limits"][0].pop("source")))
check("unknown signal word", spoilt(lambda t: t["cautions"][0].update(signal="BEWARE")))
check("short fingerprint", spoilt(lambda t: t["recipe"].update(fingerprint="3f9a")))
print(f"{passed} passed, {failed} failed")
sys.exit(failed > 0)
PYTHON
