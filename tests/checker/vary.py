"""Other recipes from a demo: every band and setting moved a little. vary.py SEED <recipe >other"""
import random
import re
import sys

rng = random.Random(int(sys.argv[1]))
MOVED = {  # property: share by which its value may move
    "time": 0.15, "hold": 0.3, "contact": 0.2, "first-conductance": 0.2, "second-conductance": 0.2,
    "convection": 0.2, "speed": 0.2, "holder-pressure": 0.1, "mass": 0.2, "losses": 0.2, "power": 0.05,
    "die-radius": 0.1, "release-after": 0.2, "every": 0.5,
}


def moved(match):
    name, blanks, value, rest = match.groups()
    share = MOVED.get(name)
    if share is None:
        return match.group(0)
    decimals = len(value.split(".")[1]) if "." in value else 0
    new = float(value) * (1 + rng.uniform(-share, share))
    return f"{name}{blanks}{max(new, 10 ** -decimals):.{decimals}f}{rest}"


def banded(match):
    value = float(match.group(1)) * rng.uniform(0.4, 1.0)
    return f"+/- {value:.3g}"


def stated(match):
    """What is to be found is stated, so that a limit that fails leaves the others to be proved."""
    low, high = float(match.group(1)), float(match.group(2))
    return f"{rng.uniform((low + high) / 2, high):.1f} degC"


text = re.sub(r"\b([a-z-]+)(\s*=\s*)(\d+(?:\.\d+)?)([^\d.].*)", moved, sys.stdin.read())
text = re.sub(r"find ([\d.]+) degC \.\. ([\d.]+) degC", stated, text)
text = re.sub(r" prefer [a-z]+", "", text)
sys.stdout.write(re.sub(r"\+/- (\d+(?:\.\d+)?)", banded, text))
