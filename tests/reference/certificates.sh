#!/usr/bin/env bash
# What is proved is shown again by a program that shares no code with ours: tests/checker, in C++ on MPFI (intervals of 160
# bits, Revol and Rouillier, Reliable Computing 11, 2005). All demos and fifty recipes made from them; and a certificate in
# which a digit is not the one that was written is refused, also when its digest was made anew.
set -u
cd "$(dirname "$0")/../.." || exit 1
B=${B:-build}
tool=$PWD/$B/strokewright checker=$PWD/$B/checker
scratch=$(mktemp -d) || exit 1
trap 'rm -rf "$scratch"' EXIT
passed=0 failed=0
export SOURCE_DATE_EPOCH=1795564800 # 2026-11-25
# The sanitized build writes what the other writes: a few are enough.
variants=50
[[ $B == *san* ]] && variants=3

check() { # name, status
    if [ "$2" -eq 0 ]; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "$1"; fi
}

cp -r recipes/demo "$scratch/demo"
cd "$scratch/demo" || exit 1
demos=(river-logger-lid battery-cup sensor-frame)
for name in "${demos[@]}"; do
    "$tool" check "$name.recipe" --certificate "$scratch/$name.json" >/dev/null 2>&1
    check "$name: no certificate" $?
done
for ((i = 1; i <= variants; i++)); do
    name=${demos[i % 2]} # the frame's proofs take longest
    /usr/bin/python3 "$OLDPWD/tests/checker/vary.py" "$i" <"$name.recipe" >"other-$i.recipe"
    "$tool" check "other-$i.recipe" --certificate "$scratch/other-$i.json" >/dev/null 2>&1
    [ -s "$scratch/other-$i.json" ] || rm -f "$scratch/other-$i.json"
    [ -e "$scratch/other-$i.json" ]
    check "other-$i: no certificate" $?
done
cd "$OLDPWD" || exit 1

"$tool" check recipes/demo/*.recipe --certificate "$scratch/none" >/dev/null 2>&1
[ $? -eq 2 ] && [ ! -e "$scratch/none" ]
check "a certificate of several recipes" $?

printf '%s\0' "$scratch"/*.json | xargs -0 -n 4 -P 2 "$checker" >"$scratch/said"
check "the checker refused one" $?
grep -vE ': [0-9]+ limits hold, shown in ' "$scratch/said"
[ "$(grep -cE ': [1-9][0-9]* limits hold' "$scratch/said")" -eq $((3 + variants)) ]
check "not all were shown" $?

/usr/bin/python3 - "$scratch" "$checker" <<'PYTHON'
import glob, hashlib, json, os, random, re, subprocess, sys
from jsonschema import Draft202012Validator

scratch, checker = sys.argv[1:]
passed = failed = 0

def note(good, name):
    global passed, failed
    passed, failed = passed + good, failed + (not good)
    if not good:
        print(name)

schema = json.load(open("compiler/emit/certificate.schema.json"))
Draft202012Validator.check_schema(schema)
validator = Draft202012Validator(schema)
for path in sorted(glob.glob(scratch + "/*.json")):
    faults = list(validator.iter_errors(json.load(open(path))))
    note(not faults, f"{os.path.basename(path)} is not of the form: {faults[:1]}")

def refused(text, name, wanted=1):
    path = scratch + "/changed"
    open(path, "w").write(text)
    status = subprocess.run([checker, path], capture_output=True, timeout=250).returncode
    note(status == wanted, f"{name}: status {status}")

lid = open(scratch + "/river-logger-lid.json").read()
refused(lid, "as written", 0)
rng = random.Random(1)
digits = [m.start() for m in re.finditer(r"[0-9](?![^\n]*\": *\{)", lid)]
for at in rng.sample(digits, 25):
    digit = str((int(lid[at]) + rng.randint(1, 9)) % 10)
    status = None
    path = scratch + "/changed"
    open(path, "w").write(lid[:at] + digit + lid[at + 1:])
    status = subprocess.run([checker, path], capture_output=True, timeout=250).returncode
    note(status in (1, 2), f"another digit at byte {at}: status {status}")

def signed(certificate):
    """The same with a digest that fits."""
    certificate = {k: v for k, v in certificate.items() if k != "sha256"}
    body = json.dumps(certificate)[:-1] + ",\n  "
    return body + '"sha256": "' + hashlib.sha256(body.encode()).hexdigest() + '"}'

whole = json.loads(lid)
refused(signed(whole), "signed again", 0)

def changed(name, change):
    copy = json.loads(lid)
    change(copy)
    refused(signed(copy), name)

def claim(c, name):
    return next(x for x in c["claims"] if x["limit"] == name)

def wider(c):
    for i in c["inputs"]:
        if i["name"] == "die.temperature":
            i["low"] -= 60

def raise_margin(c):
    piece = claim(c, "press-force")["pieces"]
    piece["least"] += abs(piece["least"]) * 0.05

def lower_capacity(c):
    for i in c["inputs"]:
        if i["name"].endswith(".capacity"):
            i["stated"] = i["low"] = i["high"] = i["stated"] / 100

def swap(c):
    n = c["nodes"][claim(c, "press-force")["truth"] - 1]
    n[1], n[2] = n[2], n[1]

def falling(c):
    c["curves"][0]["x"].reverse()

def outside(c):
    p = claim(c, "press-force")
    p["pieces"] = [0, -1, p["pieces"], p["pieces"]]

def idle(c):
    claim(c, "press-force")["pieces"] = {"idle": True}

def ahead(c):
    n = c["nodes"]
    n[5] = ["negate", len(n)]

def unknown(c):
    next(n for n in c["nodes"] if n[0] == "call")[1] = "sinh"

for name, change in {"a band wider": wider, "a margin greater": raise_margin, "a weaker press": lower_capacity,
                     "a comparison turned round": swap, "a falling curve": falling, "a cut outside": outside,
                     "an idle piece": idle, "an operand ahead": ahead, "a function nobody knows": unknown}.items():
    changed(name, change)
refused("{}", "an empty object", 2)
refused("no JSON", "no JSON", 2)
print(f"{passed} passed, {failed} failed")
open(scratch + "/count", "w").write(f"{passed} {failed}\n")
sys.exit(failed > 0)
PYTHON
read -r good bad <"$scratch/count" && passed=$((passed + good)) failed=$((failed + bad)) || failed=$((failed + 1))
echo "$passed passed, $failed failed"
[ $failed -eq 0 ]
