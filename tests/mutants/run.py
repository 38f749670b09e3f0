#!/usr/bin/env python3
"""Plants the faults of list.tsv one by one in a copy of the tree and fails when a test that should notice one does not.

usage: run.py [--check] [--build DIR] [--list FILE] [WORD...]

With WORDs, only the rows that contain one of them. --check plants nothing and looks whether each row can be planted: its
text must stand exactly once in the files named, and its tests must exist.

A row of the list, separated by tabs:
  where    a file, or a folder with all below it
  text     what stands there, exactly once; \\n and \\t are written so
  instead  what is planted in its place; - for nothing
  tests    which must notice, each of them, separated by blanks:
             unit:NAME golden:CASE (golden: for all of them) meta:FILE reference:NAME, or "build" where the build itself
             must fail
  fault    what the fault is, in words

Every test named is first run without a fault and must pass. A test that does not end within its time has noticed."""
import concurrent.futures
import os
import queue
import shutil
import subprocess
import sys

ROOT = os.getcwd()
SECONDS = 240


class Row:
    def __init__(self, number, fields):
        self.number = number
        self.where, self.text, self.instead, tests, self.fault = fields
        self.text = unescape(self.text)
        self.instead = "" if self.instead == "-" else unescape(self.instead)
        self.tests = tests.split()

    def place(self, root):
        """Returns the file that holds the text and what it holds; raises ValueError unless it stands there once."""
        found = []
        for path in files_below(root, self.where):
            with open(os.path.join(root, path), encoding="utf-8") as file:
                content = file.read()
            found += [(path, content)] * content.count(self.text)
        if len(found) != 1:
            raise ValueError(f"its text stands {len(found)} times in {self.where}, not once")
        return found[0]


def unescape(text):
    return text.replace("\\n", "\n").replace("\\t", "\t")


def files_below(root, where):
    if os.path.isfile(os.path.join(root, where)):
        return [where]
    return sorted(os.path.relpath(os.path.join(folder, name), root)
                  for folder, _, names in os.walk(os.path.join(root, where))
                  for name in names if name.endswith((".c", ".h", ".def", ".recipe", ".po", ".css", ".l", ".y")))


def read_rows(path, words):
    rows = []
    with open(path, encoding="utf-8") as file:
        for number, line in enumerate(file, 1):
            if line.startswith("#") or not line.strip() or words and not any(word in line for word in words):
                continue
            fields = line.rstrip("\n").split("\t")
            if len(fields) != 5:
                sys.exit(f"{path}:{number}: {len(fields)} fields instead of 5")
            rows.append(Row(number, fields))
    return rows


# ---- tests ------------------------------------------------------------------------------------------------------------


def test_file(test):
    """The source of a test, to see that there is one."""
    kind, _, name = test.partition(":")
    return {"build": "Makefile", "unit": f"tests/unit/test_{name}.c", "golden": f"tests/golden/{name}",
            "meta": f"tests/meta/{name}",
            "reference": f"tests/reference/{name}" + ("" if name.endswith(".sh") else ".c")}.get(kind, test)


def targets(tests):
    wanted = set()
    for kind, _, name in (test.partition(":") for test in tests):
        if kind == "unit":
            wanted.add(f"build/tests/unit/test_{name}")
        elif kind == "reference" and not name.endswith(".sh"):
            wanted.add(f"build/tests/reference/{name}")
        else:
            wanted |= {"all", "build/strokewright.pot"} if kind == "meta" else {"all"}
    return sorted(wanted)


def command(test):
    kind, _, name = test.partition(":")
    if kind in ("unit", "reference") and not name.endswith(".sh"):
        return ["build/tests/unit/test_" + name if kind == "unit" else "build/tests/reference/" + name]
    if kind == "golden":
        return ["python3", "tests/golden/run.py", *filter(None, [name])]
    return ["bash", f"tests/{kind}/{name}"]


def run(tree, arguments):
    """Returns the exit status and the end of what was printed; 124 when it does not end."""
    environment = dict(os.environ, B="build", STROKEWRIGHT=os.path.join(tree, "build/strokewright"), LC_ALL="C.UTF-8",
                       NO_COLOR="1", CK_DEFAULT_TIMEOUT="60")
    environment.pop("MAKEFLAGS", None)
    process = subprocess.Popen(arguments, cwd=tree, env=environment, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                               stderr=subprocess.STDOUT, start_new_session=True)
    try:
        said, _ = process.communicate(timeout=SECONDS)
    except subprocess.TimeoutExpired:
        os.killpg(process.pid, 9)
        process.communicate()
        return 124, "does not end"
    return process.returncode, said.decode(errors="replace")[-1500:]


def build(tree, tests):
    return run(tree, ["make", "-s", *targets(tests)])


# ---- trees ------------------------------------------------------------------------------------------------------------


def copy_tree(tree, built):
    """A copy of the sources, with what is built of them: its dates are kept, so that only what changes is made anew."""
    shutil.rmtree(tree, ignore_errors=True)
    listed = subprocess.run(["git", "ls-files", "-z", "-co", "--exclude-standard"], stdout=subprocess.PIPE, check=True)
    for path in filter(None, listed.stdout.decode().split("\0")):
        if os.path.exists(path):
            os.makedirs(os.path.dirname(os.path.join(tree, path)), exist_ok=True)
            shutil.copy2(path, os.path.join(tree, path), follow_symlinks=False)
    subprocess.run(["git", "init", "-q", tree], check=True)
    if os.path.isdir(built):
        shutil.copytree(built, os.path.join(tree, "build"), symlinks=True,
                        ignore=lambda folder, names: ["mutants"] if os.path.samefile(folder, built) else [])


def write(path, content):
    with open(path, "w", encoding="utf-8") as file:
        file.write(content)


def trouble(tree, row):
    """Plants the fault, and returns what is wrong: None when every test named has noticed."""
    try:
        path, content = row.place(tree)
    except ValueError as error:
        return str(error)
    write(os.path.join(tree, path), content.replace(row.text, row.instead))
    try:
        status, said = build(tree, row.tests)
        if row.tests == ["build"]:
            return None if status else "SURVIVES: it builds"
        if status:
            return f"does not build:\n{said}"
        blind = [test for test in row.tests if run(tree, command(test))[0] == 0]
        return "SURVIVES: not noticed by " + ", ".join(blind) if blind else None
    finally:
        write(os.path.join(tree, path), content)


# ---- all of them ------------------------------------------------------------------------------------------------------


def check(rows):
    bad = 0
    for row in rows:
        reasons = [f"there is no test {test}" for test in row.tests if not os.path.exists(test_file(test))]
        try:
            row.place(ROOT)
        except ValueError as error:
            reasons.append(str(error))
        for reason in reasons:
            print(f"row {row.number}, {row.fault}: {reason}")
        bad += bool(reasons)
    return bad


def sound_tests(tree, rows):
    """Every test named, without a fault: returns those that fail."""
    tests = sorted({test for row in rows for test in row.tests} - {"build"})
    status, said = build(tree, tests or ["build"])
    if status:
        sys.exit(f"the tree without faults does not build:\n{said}")
    failing = [(test, said) for test in tests for status, said in [run(tree, command(test))] if status]
    for test, said in failing:
        print(f"{test} fails without a fault:\n{said}")
    return failing


def plant_all(trees, rows):
    free = queue.Queue()
    for tree in trees:
        free.put(tree)

    def one(row):
        tree = free.get()
        try:
            return row, trouble(tree, row)
        finally:
            free.put(tree)

    bad = 0
    with concurrent.futures.ThreadPoolExecutor(len(trees)) as pool:
        for row, wrong in pool.map(one, rows):
            print(f"  {'FAILED' if wrong else 'ok    '} {row.number:4} {row.fault}" + (f": {wrong}" if wrong else ""), flush=True)
            bad += wrong is not None
    return bad


def main(arguments):
    options = {"--build": "build", "--list": os.path.join(os.path.dirname(__file__), "list.tsv")}
    checking, words = False, []
    while arguments:
        word = arguments.pop(0)
        if word == "--check":
            checking = True
        elif word in options and arguments:
            options[word] = arguments.pop(0)
        else:
            words.append(word)
    rows = read_rows(options["--list"], words)
    bad = check(rows)
    if not checking and not bad:
        trees = [os.path.join(ROOT, options["--build"], "mutants", str(i)) for i in range(os.cpu_count() or 1)]
        for tree in trees:
            copy_tree(tree, options["--build"])
        bad = len(sound_tests(trees[0], rows)) or plant_all(trees, rows)
    print(f"{len(rows) - bad} passed, {bad} failed")
    return 1 if bad or not rows else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
