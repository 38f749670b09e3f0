#!/usr/bin/env python3
"""Golden cases: recipe in, exact output out. One folder a case:
  case.recipe   the main file, and any other files it uses
  command       the arguments, one line as in a shell, when they are not: check case.recipe, of limit-* check --limits case.recipe
  prepare       a script run first, for files that a folder of text cannot hold (a device, bytes that are not UTF-8) and
                for the demo recipes, which stand in $RECIPES/demo
  expected      what is printed, standard output first, then standard error
  status        the exit status
  summary       an empty file: the case is about the line that counts the limits and the table of the tightest; elsewhere
                the counts and the rows of limits that hold are left out of what check prints, so that one limit more in
                the library changes no case it does not concern; so is the note on what is taken as it is, which
                hundreds of recipes have, but in a case with taken-as in its name
A case runs in a copy of its folder, so paths are short and nothing is left behind; as many run side by side as there are
processors.

tests/golden/run.py [--bless] [case...]: every case or those named; --bless rewrites `expected` and `status`. Read the
difference before committing it. $STROKEWRIGHT is the command under test."""
import difflib
import os
import re
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

HERE = Path(__file__).resolve().parent
TOOL = Path(os.environ.get("STROKEWRIGHT", HERE / "../../build/strokewright")).resolve()
NOT_COPIED = {"expected", "status", "summary"}
RUN = """strokewright() { timeout "${CASE_SECONDS:-60}" "$TOOL" "$@"; }
[ ! -e prepare ] || bash ./prepare || exit 99
rm -f prepare command
eval "strokewright $COMMAND" """
ENVIRONMENT = {**os.environ, "LC_ALL": "C.UTF-8", "NO_COLOR": "1", "TZ": "UTC", "RECIPES": str(HERE / "../../recipes"),
               "SOURCE_DATE_EPOCH": "1795564800"}  # 2026-11-25: cases do not depend on the day they are run


def read(path):
    """The bytes of a file; b"" where there is none."""
    return path.read_bytes() if path.exists() else b""


def command_of(case):
    stated = read(case / "command").decode()
    limits = "--limits " if case.name.startswith("limit-") else ""
    return stated.rstrip("\n") or f"check {limits}case.recipe"


def squeezed(text):
    return re.sub("  +", "  ", text.rstrip(" "))


class Table:
    """A table of limits as check prints it, of which only the rows that are open are kept, and those of one limit: the
    others come and go with what the library has besides. A name that is broken over lines stands in one, and columns
    stand two blanks apart, for their widths come of all rows."""

    def __init__(self, own, column):
        self.own, self.column = own, column
        self.name = self.rest = self.details = ""

    def row(self):
        """The row that ended, as lines."""
        name, rest, details = self.name, self.rest, self.details
        self.name = self.rest = self.details = ""
        holds = re.match("proved|holds", rest) and not (self.own and (name + " ").startswith(self.own + " "))
        return f"{name}  {rest}\n{details}" if name and not holds else ""

    def line(self, line):
        """Takes one line, and gives the row that it ended."""
        if re.match("-+ ", line) or re.match(" (?!     )", line):
            return ""
        if line.startswith(" "):
            self.details += line + "\n"
            return ""
        head, tail, ended = line[: self.column].rstrip(" "), squeezed(line[self.column:]), ""
        if tail and not tail.startswith(" "):
            ended = self.row()
            self.name, self.rest = head, tail
        else:
            self.name += ("" if self.name.endswith("-") else " ") + head
            self.rest += " " + tail if len(line) > self.column else ""
        return ended


def without_limits(case, printed):
    """What is printed without what every limit of the library would change."""
    own = re.sub("(-trips.*|-passes)$", "", case.name[6:]) if case.name.startswith("limit-") else ""
    printed = re.sub(r"(?m): [0-9]+ limits?: [0-9][^;\n]*;", ": (limits);", printed)
    out, table = [], None
    for line in printed.splitlines(keepends=True):
        line = line.rstrip("\n")
        if re.match("Limit +Verdict", line):
            table = Table(own, line.index("Verdict"))
            out.append(squeezed(line) + "\n")
        elif table and (not line or re.match("and [0-9]+ more with more margin", line)):
            out.append(table.row() + ("\n" if not line else ""))
            table = None
        else:
            out.append(table.line(line) if table else line + "\n")
    return "".join(out) + (table.row() if table else "")


def without_note(printed):
    """What is printed without the note, its line, the indented ones below it and one blank line behind them."""
    return re.sub(r"(?m)^.*: note: .*\[taken-as\]\n(?: .*\n)*\n?", "", printed)


def run_case(case, scratch, tool):
    """-> what it prints, its exit status as text."""
    room = Path(tempfile.mkdtemp(dir=scratch)) / "room"
    shutil.copytree(case, room, symlinks=True, ignore=lambda folder, names: NOT_COPIED & set(names))
    command = command_of(case)
    done = subprocess.run(["bash", "-uc", RUN], cwd=room, stdin=subprocess.DEVNULL, capture_output=True,
                          env={**ENVIRONMENT, "TOOL": str(tool), "COMMAND": command})
    out, err = (text.decode("utf-8", "surrogateescape") for text in (done.stdout, done.stderr))
    printed = out + ("\n" if out and err and not out.endswith("\n") else "") + err
    # The fingerprint covers the library, so that it would change in every case with each word of it: it has its own tests.
    printed = re.sub(r"\b[0-9a-f]{64}\b", "(fingerprint: 64 hex digits)", printed)
    if "taken-as" not in case.name and not (case / "summary").exists():
        printed = without_note(printed)
    if "check" in command and not (case / "summary").exists():
        printed = without_limits(case, printed)
    return printed.encode("utf-8", "surrogateescape"), f"{done.returncode}\n".encode()


def difference(case, what, printed):
    """Shows how a file of the case differs from what came; "" where it does not."""
    expected = read(case / what)
    if (case / what).exists() and expected == printed:
        return ""
    lines = [[line + "\n" for line in text.decode("utf-8", "backslashreplace").split("\n")] for text in (expected, printed)]
    return "".join(difflib.unified_diff(*lines, f"{case.name}/{what}", f"{case.name}/printed")) or f"{case.name}: no {what}\n"


def judge(case, scratch, tool=TOOL):
    """-> how the case differs from what is expected."""
    if not (case / "case.recipe").exists() and not (case / "command").exists():
        return f"{case}: no case\n"
    printed, status = run_case(case, scratch, tool)
    return difference(case, "expected", printed) + difference(case, "status", status)


def bless(case, scratch, tool=TOOL):
    printed, status = run_case(case, scratch, tool)
    (case / "expected").write_bytes(printed)
    (case / "status").write_bytes(status)
    return ""


COUNTING = r"""#!/bin/sh
# Stands for the command: counts one limit more with each run of a case.
echo run >>"$0.$(cat case.recipe)"
n=$(grep -c . "$0.$(cat case.recipe)")
printf 'Limit     Verdict  Value\n--------  -------  -----\none       proved   %d mm\ntwo-      FAILS    1 mm\nlong\n\n' "$n"
echo "case.recipe: $n limits: $n proved; 0 errors, 0 warnings"
"""


def self_test(scratch):
    """A runner that cannot fail proves nothing: a case with wrong words, one with a wrong status and one without
    expectations must each be found, and a right one must pass. So must one whose count of limits is wrong where the
    summary is its subject, and pass elsewhere. What goes wrong is still counted and shown where the limits are not."""
    trial = Path(scratch) / "trial"
    tool = trial / "counting"
    for name in ("right", "words", "status", "bare", "plain", "summary"):
        (trial / name).mkdir(parents=True)
        (trial / name / "case.recipe").write_text(name + "\n")
    tool.write_text(COUNTING)
    tool.chmod(0o755)
    (trial / "summary/summary").touch()
    for name in ("right", "words", "status", "plain", "summary"):
        bless(trial / name, scratch, tool)
    with open(trial / "words/expected", "a") as expected:
        expected.write("one word more\n")
    (trial / "status/status").write_text("77\n")
    plain = read(trial / "plain/expected").decode()
    wrong = [f"a case that is {name} fails" for name in ("right", "plain") if judge(trial / name, scratch, tool)]
    wrong += [f"a case with wrong {name} passes" for name in ("words", "status", "bare", "summary")
              if not judge(trial / name, scratch, tool)]
    wrong += ["errors are not counted"] if "(limits); 0 errors, 0 warnings" not in plain else []
    wrong += ["a limit that fails is left out"] if "\ntwo-long  FAILS  1 mm\n" not in plain else []
    return "".join(f"self-test: {what}\n" for what in wrong)


def folder_of(name):
    return Path(name) if Path(name).is_dir() else HERE / name


def main(arguments):
    if not os.access(TOOL, os.X_OK):
        sys.exit(f"tests/golden: {TOOL} is not there; run make first")
    blessing = arguments[:1] == ["--bless"]
    cases = [folder_of(name) for name in arguments[blessing:]] or sorted(p for p in HERE.iterdir() if p.is_dir())
    scratch = tempfile.mkdtemp()
    try:
        with ThreadPoolExecutor(os.cpu_count()) as pool:
            faults = [self_test(scratch), *pool.map(lambda case: (bless if blessing else judge)(case, scratch), cases)]
    finally:
        subprocess.run(["chmod", "-R", "u+rwX", scratch], stderr=subprocess.DEVNULL)
        shutil.rmtree(scratch, ignore_errors=True)
    failed = sum(map(bool, faults))
    print("".join(faults), end="")
    if blessing:
        print(f"blessed {len(cases)} cases; read the difference")
    print(f"{len(faults) - failed} passed, {failed} failed")
    return failed > 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
