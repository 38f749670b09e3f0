"""The HTML report in a real browser: report.py FOLDER [axe.min.js]

FOLDER holds en/report.html, de/..., es/..., ja/report.html of a demo recipe, hostile/report.html of one whose texts try
to break out, and mixed/report.html with texts of other scripts. Prints what is wrong, and the count.
"""
import json
import re
import subprocess
import sys

from browser import Browser

folder, axe = sys.argv[1], open(sys.argv[2]).read() if len(sys.argv) > 2 else None
passed = failed = 0


def check(what, good, detail=""):
    global passed, failed
    if good:
        passed += 1
    else:
        failed += 1
        print(f"{what}: {detail}")


def accessibility(page, what):
    """axe-core, an independent checker: WCAG 2.0 to 2.2, levels A and AA, and its best practices."""
    page.value(axe + ";0")
    found = json.loads(page.value(
        "axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']})"
        ".then(r => JSON.stringify({bad: r.violations.map(v => v.id + ': ' + v.help + ' ' + v.nodes.slice(0, 3)"
        ".map(n => n.target + ' ' + n.failureSummary).join('; ')), rules: r.passes.length}))"))
    check(f"{what}: accessibility", not found["bad"] and found["rules"] > 15, "\n  ".join(found["bad"]) or found["rules"])


def fits(page, what):
    over = page.value(
        "(() => { const w = document.documentElement.clientWidth; const out = [];"
        "if (document.documentElement.scrollWidth > w) for (const e of document.body.querySelectorAll('*')) {"
        "const r = e.getBoundingClientRect(); if (r.right > w + 1 && !e.closest('.figure')) out.push(e.tagName + '.' + e.className);"
        "} return out.slice(0, 5); })()")
    check(f"{what}: nothing wider than the screen", over == [], over)
    small = page.value(
        "Math.min(...[...document.querySelectorAll('td, p, dd, li, small')].map(e => parseFloat(getComputedStyle(e).fontSize)))")
    check(f"{what}: no type under 10 px", small >= 10, small)


with Browser() as browser:
    for language in ("en", "de", "es", "ja"):
        for width, dark in ((360, False), (760, False), (1280, True), (2560, False)):
            what = f"{language}, {width} px{', dark' if dark else ''}"
            page = browser.page(f"{folder}/{language}/report.html", width=width, dark=dark)
            fits(page, what)
            if axe and (language == "en" or width == 360):
                accessibility(page, what)
            page.close()

    page = browser.page(f"{folder}/en/report.html")
    check("nothing is fetched", all(u.startswith("file:") for u in page.requests()) and len(page.requests()) == 1, page.requests())
    check("the script runs", page.value("document.querySelectorAll('nav button').length") == 1)
    check("no complaints", page.complaints() == [], page.complaints()[:2])
    page.value("document.querySelectorAll('.limits th button')[4].click()")
    margins = page.value("[...document.querySelectorAll('.limits tbody tr')].map(r => r.cells[4].textContent)")
    numbers = [float(m.group()) for m in (re.match(r"[\d.]+", t) for t in margins) if m]
    check("the limits sort by margin", numbers == sorted(numbers) and len(numbers) > 20, numbers)
    check("a heading says how it is sorted", page.value("document.querySelectorAll('[aria-sort=ascending]').length") == 1)
    links = page.value("[...document.querySelectorAll('nav a')].filter(a => !document.getElementById(a.hash.slice(1))).length")
    check("every entry of the contents leads somewhere", links == 0, links)
    ids = page.value("(i => i.length - new Set(i).size)([...document.querySelectorAll('[id]')].map(e => e.id))")
    check("no id stands twice", ids == 0, ids)
    with open(f"{folder}/printed.pdf", "wb") as file:
        file.write(page.pdf())
    text = subprocess.run(["pdftotext", "-layout", f"{folder}/printed.pdf", "-"], capture_output=True, text=True).stdout
    for word in ("Lid, river-level logger", "DANGER", "168.456 mm", "Corner cracking", "Why these limits"):
        check(f"printed: {word}", word in text)
    check("printed: headings come again where a table goes on", text.count("Must be") >= 2, text.count("Must be"))
    check("printed: what is folded is not", "blank.reached" not in text and "In words" not in text)
    for word, least in (("Taken", 10), ("First piece", 1), ("Set up by", 1),
                        ("Measured", 2), ("Tool number", 1), ("Piece number", 1)):
        check(f"printed: to be written by hand: {word}", text.lower().count(word.lower()) >= least, text.count(word))
    boxes = page.value("[...document.querySelectorAll('.sizes tbody tr')].map(r => r.querySelectorAll('.field').length)")
    check("every tool size has boxes for what is measured and for initials", boxes and set(boxes) == {2}, boxes)
    check("a part number stays in one piece", page.value("[...document.querySelectorAll('h3 .whole')].filter(e => "
          "e.getClientRects().length > 1 || getComputedStyle(e).whiteSpace != 'nowrap').length") == 0 and
          page.value("[...document.querySelectorAll('.whole')].some(e => e.textContent == 'RL-204-1')"))
    check("on a screen there is nothing to be written by hand",
          page.value("[...document.querySelectorAll('.paper')].filter(e => e.getClientRects().length).length") == 0 and
          page.value("document.querySelectorAll('.paper .field').length") > 20)
    page.value("document.getElementById('values').open = true")
    with open(f"{folder}/printed.pdf", "wb") as file:
        file.write(page.pdf())
    opened = subprocess.run(["pdftotext", f"{folder}/printed.pdf", "-"], capture_output=True, text=True).stdout
    check("printed: what was opened is", "blank.reached" in opened)
    check("printed: no controls", "Print" not in text.split("\n")[0:12])
    page.close()

    # On a dark screen a picture has the screen's inks: light lines on a light band would not be seen.
    page = browser.page(f"{folder}/en/report.html", dark=True)
    fixed = page.value("[...document.querySelectorAll('.figure [fill], .figure [stroke]')].filter(e => "
                       "/^#/.test(e.getAttribute('fill') || '') || /^#/.test(e.getAttribute('stroke') || '')).length")
    check("dark: charts have the page's inks", fixed == 0, fixed)
    unpainted = page.value("[...document.querySelectorAll('.figure [class*=f-]')].filter(e => "
                           "getComputedStyle(e).fill === 'rgb(0, 0, 0)').length")
    check("dark: every ink has its colour", unpainted == 0, unpainted)
    page.close()

    page = browser.page(f"{folder}/de/report.html")
    check("a comma in German", "168,456\u00a0mm" in page.value("document.querySelector('.sizes').textContent"))
    check("the page says its language", page.value("document.documentElement.lang") == "de")
    page.close()

    page = browser.page(f"{folder}/hostile/report.html")
    check("hostile: nothing ran", page.value("typeof window.injected") == "undefined")
    check("hostile: one script", page.value("document.scripts.length") == 1)
    check("hostile: no image, no frame, no handler", page.value(
        "document.querySelectorAll('img, iframe, object, embed, link, base, form, [onerror], [onload], [onclick]').length") == 0)
    check("hostile: the title is text", page.value("document.querySelector('h1').textContent") ==
          "</title></h1><script>window.injected=1</script>", page.value("document.querySelector('h1').textContent"))
    page.close()

    page = browser.page(f"{folder}/mixed/report.html", width=360)
    check("mixed: right to left", page.value("getComputedStyle(document.querySelector('h1')).direction") == "rtl")
    check("mixed: Japanese is marked", page.value(
        "[...document.querySelectorAll('dd')].filter(e => /ブランク/.test(e.textContent)).map(e => e.lang)[0]") == "ja")
    check("mixed: a foreign word does not turn its line", page.value(
        "getComputedStyle(document.querySelector('main')).direction") == "ltr")
    fits(page, "mixed")
    page.close()

print(f"{passed} passed, {failed} failed")
sys.exit(failed > 0)
