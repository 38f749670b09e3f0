"""colours.py WORDS PAGES MARGINS JSON: see colours.sh. WORDS as `pdftotext -bbox` gives them, PAGES the start of the names
of the pages as PPM at 144 dots an inch."""
import colorsys
import glob
import json
import re
import sys
import xml.etree.ElementTree as tree

SCALE = 2  # pixels a point
passed = failed = 0


def check(what, good):
    global passed, failed
    passed, failed = passed + bool(good), failed + (not good)
    if not good:
        print(what)


class Page:
    def __init__(self, path):
        with open(path, "rb") as file:
            data = file.read()
        head = re.match(rb"P6\s+(\d+)\s+(\d+)\s+255\s", data)
        self.width, self.height = int(head[1]), int(head[2])
        self.pixels = data[head.end():]

    def at(self, x, y):
        place = 3 * (int(y * SCALE) * self.width + int(x * SCALE))
        return tuple(self.pixels[place:place + 3])

    def colours(self, left, top, right, bottom):
        """The named colours of a rectangle, by how many pixels have them."""
        counts = {}
        for y in range(int(top * SCALE), int(bottom * SCALE)):
            for x in range(int(left * SCALE), int(right * SCALE)):
                name = colour_name(self.at(x / SCALE, y / SCALE))
                counts[name] = counts.get(name, 0) + 1
        return counts


# The ranges of hue stand apart as the safety colours of ISO 3864-4 do on paper.
HUES = {"red": (345, 375), "orange": (17, 32), "yellow": (36, 62), "green": (120, 170), "blue": (190, 225)}


def colour_name(rgb):
    hue, saturation, value = colorsys.rgb_to_hsv(*(part / 255 for part in rgb))
    degrees = hue * 360
    if saturation < 0.5 or value < 0.25:
        return "none"
    for name, (low, high) in HUES.items():
        if low <= degrees <= high or low <= degrees + 360 <= high:
            return name
    return "other"


def words_of(path):
    """(page, text, left, top, right, bottom) of each word."""
    page = -1
    for line in open(path, encoding="utf-8"):
        page += "<page " in line
        word = re.search(r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*)</word>', line)
        if word:
            yield page, word[5], *(float(word[k]) for k in range(1, 5))


def check_cautions(words, pages):
    grounds = {"DANGER": "red", "WARNING": "orange", "CAUTION": "yellow", "NOTICE": "blue"}
    signs = {"W": "yellow", "P": "red", "M": "blue", "F": "red", "E": "green"}
    met = set()
    for page, text, left, top, right, bottom in words:
        middle = (top + bottom) / 2
        if text in grounds:
            # Between the word and the edge of its panel, where nothing is printed on the ground.
            seen = colour_name(pages[page].at(right + 2, middle))
            check(f"{text} on {seen} ground instead of {grounds[text]}", seen == grounds[text])
            met.add(text)
        number = re.match(r"7010-([WPMFE])\d{3}$", text)
        if number:
            # The first sign stands at the left of the text: behind a margin of 42 points, 30 wide.
            x = 57
            counts = pages[page].colours(x - 13, middle - 24, x + 13, middle + 2)
            counts.pop("none", None)
            seen = max(counts, key=counts.get, default="no colour")
            check(f"sign {text} is {counts} instead of {signs[number[1]]}", seen == signs[number[1]])
            met.add(number[1])
    check(f"signal words and signs of every sort: {sorted(met)}", met >= set(grounds) | set(signs))


def check_heads(words):
    """The heads of the table of limits, from left to right."""
    rows = {}
    for page, text, left, top, *_ in words:
        rows.setdefault((page, round(top)), []).append((left, text))
    lines = [" ".join(text for _, text in sorted(row)) for row in rows.values()]
    check("no heads 'Limit Value Must be Margin Worst'", "LIMIT VALUE MUST BE MARGIN WORST" in lines)


VERDICTS = ["fails", "not-evaluated", "not-decided", "nominal-only", "waived", "holds", "proved"]


def bars_of(path):
    """(share filled black, share at the mark or None) of each bar, from above."""
    bars = []
    for element in tree.parse(path).getroot().iter("{http://www.w3.org/2000/svg}path"):
        numbers = [float(n) for n in re.findall(r"-?[\d.]+", element.get("d"))]
        left, right = min(numbers[::2]), max(numbers[::2])
        if element.get("fill") == "#ffffff" and element.get("stroke") == "#000000":
            bars.append([left, right, 0, None])
        elif bars and element.get("fill") == "#000000" and left == bars[-1][0]:
            bars[-1][2] = (right - left) / (bars[-1][1] - bars[-1][0])
        elif bars and element.get("fill") == "none" and left == right:
            bars[-1][3] = (left - bars[-1][0]) / (bars[-1][1] - bars[-1][0])
    return [(black, mark) for _, _, black, mark in bars]


def inside(share):
    return min(max(share, 0), 1)


def check_bars(bars, limits):
    """Black as far as the worst margin, a mark at the stated one; black as far as the stated one where no worst is known."""
    rows = [l for v in VERDICTS for l in limits if l["verdict"] == v and l["margin"] is not None]
    check(f"{len(bars)} bars for {len(rows)} limits", len(bars) == len(rows) > 20)
    for (black, mark), row in zip(bars, rows):
        worst = row["worst_margin"] if row["worst_margin_text"] else None
        wanted = inside(row["margin"] if worst is None else worst)
        name = f"{row['name']} {row['subject']}"
        check(f"{name}: black to {black:.3f} instead of {wanted:.3f}", abs(black - wanted) < 0.002)
        if worst is not None:
            check(f"{name}: mark at {mark} instead of {inside(row['margin']):.3f}",
                  mark is not None and abs(mark - inside(row["margin"])) < 0.002)
    check("no limit whose worst margin is seen beside its stated one",
          any(mark is not None and mark - black > 0.2 for black, mark in bars))


def main():
    words = list(words_of(sys.argv[1]))
    pages = [Page(path) for path in sorted(glob.glob(sys.argv[2] + "-*.ppm"))]
    check_cautions(words, pages)
    check_heads(words)
    with open(sys.argv[4], encoding="utf-8") as file:
        check_bars(bars_of(sys.argv[3]), json.load(file)["limits"])
    print(f"{passed} passed, {failed} failed")
    return failed > 0


if __name__ == "__main__":
    sys.exit(main())
