#!/usr/bin/python3
"""Holds PDF files to PDF/UA-1, ISO 14289-1:2014. Clause numbers are those of the standard; they and the wording of the
rules are from memory. Written apart from the program: it reads the file with pikepdf and knows nothing of how it was made.

    pdf_ua.py FILE...          says what is wrong, one line each; status 1 if anything is
    pdf_ua.py --planted FILE   breaks each rule once in a copy in memory: every rule must notice
"""
import io
import re
import sys
import xml.etree.ElementTree as xml

import pikepdf
from pikepdf import Array, Dictionary, Name

# ISO 32000-1, 14.8.4.
STANDARD_TYPES = set(
    """Document Part Art Sect Div BlockQuote Caption TOC TOCI Index NonStruct Private P H H1 H2 H3 H4 H5 H6 L LI Lbl
    LBody Table TR TH TD THead TBody TFoot Span Quote Note Reference BibEntry Code Link Annot Ruby RB RT RP Warichu WT WP
    Figure Formula Form""".split()
)
# ISO 32000-1, table 57 and following: operators that paint, and Do, sh and EI.
PAINTING = set("S s f F f* B B* b b* sh Do EI Tj TJ ' \"".split())
CHILDREN = {
    "Table": {"TR", "THead", "TBody", "TFoot", "Caption"},
    "THead": {"TR"},
    "TBody": {"TR"},
    "TFoot": {"TR"},
    "TR": {"TH", "TD"},
    "TOC": {"TOC", "TOCI", "Caption"},
    "L": {"L", "LI", "Caption"},
    "LI": {"Lbl", "LBody"},
}
PARENTS = {
    "TR": {"Table", "THead", "TBody", "TFoot"},
    "TH": {"TR"},
    "TD": {"TR"},
    "TOCI": {"TOC"},
    "LI": {"L"},
}


def kids(element):
    k = element.get("/K")
    if k is None:
        return []
    return list(k) if isinstance(k, Array) else [k]


def is_element(kid):
    return isinstance(kid, Dictionary) and "/S" in kid


def elements(parent):
    """Depth first, with the type of the parent."""
    for kid in kids(parent):
        if is_element(kid):
            yield kid, str(parent.get("/S", "/"))[1:]
            yield from elements(kid)


def kind(element):
    return str(element.S)[1:]


def attribute(element, name):
    a = element.get("/A")
    for entry in list(a) if isinstance(a, Array) else [a]:
        if isinstance(entry, Dictionary) and entry.get("/O") == Name.Table and name in entry:
            return entry[name]
    return None


def text_of(value):
    return str(value).strip() if isinstance(value, pikepdf.String) else ""


def identification(pdf):
    """5: the version and conformance of PDF/UA stands in the XMP metadata."""
    if "/Metadata" not in pdf.Root:
        yield "5: no metadata"
        return
    tree = xml.fromstring(pdf.Root.Metadata.read_bytes())
    part = tree.find(".//{http://www.aiim.org/pdfua/ns/id/}part")
    if part is None or part.text != "1":
        yield "5: the metadata do not say pdfuaid:part 1"


def title(pdf):
    """7.1: the metadata hold dc:title, and the window shows it."""
    if "/Metadata" in pdf.Root:
        tree = xml.fromstring(pdf.Root.Metadata.read_bytes())
        found = tree.find(".//{http://purl.org/dc/elements/1.1/}title//{*}li")
        if found is None or not (found.text or "").strip():
            yield "7.1: no dc:title"
    if pdf.Root.get("/ViewerPreferences", Dictionary()).get("/DisplayDocTitle") is not True:
        yield "7.1: DisplayDocTitle is not true"


def marked(pdf):
    """7.1: the file is tagged, and says so."""
    info = pdf.Root.get("/MarkInfo", Dictionary())
    if info.get("/Marked") is not True or info.get("/Suspects", False) is True:
        yield "7.1: not Marked, or Suspects"
    if "/StructTreeRoot" not in pdf.Root:
        yield "7.1: no structure"


def types(pdf):
    """7.1: types of structure are those of ISO 32000-1."""
    for element, _ in elements(pdf.Root.StructTreeRoot):
        if kind(element) not in STANDARD_TYPES:
            yield f"7.1: type {kind(element)} is none of the standard ones"


def content(pdf):
    """7.1: all that is painted is tagged or an artifact, neither in the other; what is tagged is in the structure. Marked
    content of another kind, such as the letters of a ligature, may stand in either."""
    known = {}
    for element, _ in elements(pdf.Root.StructTreeRoot):
        for kid in kids(element):
            if isinstance(kid, int) and "/Pg" in element:
                known.setdefault(element.Pg.objgen, set()).add(kid)
            elif isinstance(kid, Dictionary) and kid.get("/Type") == Name.MCR:
                known.setdefault(kid.get("/Pg", element.get("/Pg")).objgen, set()).add(int(kid.MCID))
    for number, page in enumerate(pdf.pages, 1):
        tree, stack = known.get(page.obj.objgen, set()), []
        for operands, operator in pikepdf.parse_content_stream(page):
            operator = str(operator)
            if operator in ("BMC", "BDC"):
                properties = operands[1] if operator == "BDC" else None
                mcid = properties.get("/MCID") if isinstance(properties, Dictionary) else None
                what = "artifact" if operands[0] == Name.Artifact else "tagged" if mcid is not None else None
                if what and {what, *stack} >= {"artifact", "tagged"}:
                    yield f"7.1: page {number}: artifact and tagged content in each other"
                if what == "tagged" and int(mcid) not in tree:
                    yield f"7.1: page {number}: tagged content that is not in the structure"
                stack.append(what)
            elif operator == "EMC":
                if not stack:
                    yield f"7.1: page {number}: EMC without its begin"
                    return
                stack.pop()
            elif operator in PAINTING and not any(stack):
                yield f"7.1: page {number}: {operator} is neither tagged nor an artifact"
                break


def language(pdf):
    """7.2: the natural language of the document."""
    if not re.fullmatch(r"[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8})*", text_of(pdf.Root.get("/Lang"))):
        yield "7.2: no language"


def nesting(pdf):
    """7.2: tables, lists and contents are made of their own parts."""
    for element, parent in elements(pdf.Root.StructTreeRoot):
        if kind(element) in PARENTS and parent not in PARENTS[kind(element)]:
            yield f"7.2: {kind(element)} in {parent}"
        allowed = CHILDREN.get(kind(element))
        for kid in kids(element):
            if allowed and not (is_element(kid) and kind(kid) in allowed):
                yield f"7.2: {kind(element)} holds {kind(kid) if is_element(kid) else 'content'}"


def rows(pdf):
    """7.2: the rows of a table have the same number of columns, those that a cell spans counted."""
    for element, _ in elements(pdf.Root.StructTreeRoot):
        if kind(element) == "Table":
            widths = {
                sum(int(attribute(cell, "/ColSpan") or 1) for cell in kids(row) if is_element(cell))
                for row, _ in elements(element)
                if kind(row) == "TR"
            }
            if len(widths) != 1:
                yield f"7.2: rows of {sorted(widths)} columns in one table"


def figures(pdf):
    """7.3: a figure has a text that stands for it."""
    for element, _ in elements(pdf.Root.StructTreeRoot):
        if kind(element) == "Figure" and not (text_of(element.get("/Alt")) or text_of(element.get("/ActualText"))):
            yield "7.3: a figure without Alt"


def headings(pdf):
    """7.4.2: the first heading is of level 1, and none skips a level on the way down."""
    level = 0
    for element, _ in elements(pdf.Root.StructTreeRoot):
        found = re.fullmatch("H([1-6])", kind(element))
        if found and int(found[1]) > level + 1:
            yield f"7.4.2: H{found[1]} behind level {level}"
        level = int(found[1]) if found else level


def header_cells(pdf):
    """7.5: a header cell says whether it heads a row or a column."""
    for element, _ in elements(pdf.Root.StructTreeRoot):
        if kind(element) == "TH" and attribute(element, "/Scope") not in (Name.Row, Name.Column, Name.Both):
            yield "7.5: a TH without Scope"


def links(pdf):
    """7.18.5: a link is in a Link of the structure, and has a text."""
    inside = set()
    for element, _ in elements(pdf.Root.StructTreeRoot):
        for kid in kids(element):
            if kind(element) == "Link" and isinstance(kid, Dictionary) and kid.get("/Type") == Name.OBJR:
                inside.add(kid.Obj.objgen)
    for page in pdf.pages:
        for note in page.obj.get("/Annots", Array()):
            if note.objgen not in inside:
                yield "7.18.5: a link outside of the structure"
            if not text_of(note.get("/Contents")):
                yield "7.18.5: a link without Contents"


def tabs(pdf):
    """7.18.3: a page with links is gone through in the order of the structure."""
    for page in pdf.pages:
        if "/Annots" in page.obj and page.obj.get("/Tabs") != Name.S:
            yield "7.18.3: Tabs is not S"


def values(dictionary):
    return [dictionary[key] for key in dictionary.keys()] if dictionary is not None else []


def all_fonts(pdf):
    seen = set()
    for page in pdf.pages:
        holders = [page.obj]
        while holders:
            resources = holders.pop().get("/Resources", Dictionary())
            for font in values(resources.get("/Font")):
                if font.objgen not in seen:
                    seen.add(font.objgen)
                    yield font
            for form in values(resources.get("/XObject")):
                if form.get("/Subtype") == Name.Form and form.objgen not in seen:
                    seen.add(form.objgen)
                    holders.append(form)


def fonts(pdf):
    """7.21.4.1, 7.21.3.2 and 7.21.7: fonts are in the file, and their glyphs lead to Unicode."""
    for font in all_fonts(pdf):
        inner = font.DescendantFonts[0] if font.Subtype == Name.Type0 else font
        descriptor = inner.get("/FontDescriptor", Dictionary())
        if not any(k in descriptor for k in ("/FontFile", "/FontFile2", "/FontFile3")):
            yield "7.21.4.1: a font is not embedded"
        if inner.get("/Subtype") == Name.CIDFontType2 and "/CIDToGIDMap" not in inner:
            yield "7.21.3.2: a CID font without CIDToGIDMap"
        if "/ToUnicode" not in font:
            yield "7.21.7: a font without ToUnicode"


RULES = [
    identification, title, marked, types, content, language, nesting, rows, figures, headings, header_cells, links, tabs,
    fonts,
]  # fmt: skip


def faults(pdf):
    return [fault for rule in RULES for fault in rule(pdf)]


# ---- planted faults ----------------------------------------------------------------------------------------------------


def first(pdf, wanted):
    return next(e for e, _ in elements(pdf.Root.StructTreeRoot) if kind(e) == wanted)


def set_key(find, key, value=None):
    def plant(pdf):
        target = find(pdf)
        if value is None:
            del target[key]
        else:
            target[key] = value

    return plant


def rewrite_page(change):
    def plant(pdf):
        page = pdf.pages[0]
        page.Contents = pdf.make_stream(change(page.Contents.read_bytes()))

    return plant


def first_link(pdf):
    return next(p.obj.Annots[0] for p in pdf.pages if "/Annots" in p.obj)


def first_font(pdf):
    return next(f for f in all_fonts(pdf))


def untag_link(pdf):
    link = first(pdf, "Link")
    link.K = Array([kid for kid in kids(link) if not isinstance(kid, Dictionary)])


def drop_cell(pdf):
    row = first(pdf, "TR")
    row.K = Array(kids(row)[1:])


def drop_map(pdf):
    for font in all_fonts(pdf):
        if font.Subtype == Name.Type0 and "/CIDToGIDMap" in font.DescendantFonts[0]:
            del font.DescendantFonts[0]["/CIDToGIDMap"]


def unembed(pdf):
    font = first_font(pdf)
    inner = font.DescendantFonts[0] if font.Subtype == Name.Type0 else font
    for key in ("/FontFile", "/FontFile2", "/FontFile3"):
        if key in inner.FontDescriptor:
            del inner.FontDescriptor[key]


PLANTED = [
    ("5:", set_key(lambda p: p.Root, "/Metadata")),
    ("5:", lambda p: p.Root.Metadata.write(p.Root.Metadata.read_bytes().replace(b"part>1<", b"part>2<"))),
    ("7.1: no dc:title", lambda p: p.Root.Metadata.write(p.Root.Metadata.read_bytes().replace(b"dc:title", b"dc:other"))),
    ("7.1: DisplayDocTitle", set_key(lambda p: p.Root.ViewerPreferences, "/DisplayDocTitle", False)),
    ("7.1: not Marked", set_key(lambda p: p.Root.MarkInfo, "/Marked", False)),
    ("7.1: type", set_key(lambda p: first(p, "P"), "/S", Name.Para)),
    ("7.1: page 1: f", rewrite_page(lambda b: b + b"\n0 0 5 5 re f\n")),
    ("7.1: page 1: artifact and", rewrite_page(lambda b: b.replace(b"/Artifact BMC", b"/Artifact BMC /P <</MCID 0>> BDC EMC", 1))),
    ("7.1: page 1: tagged", rewrite_page(lambda b: re.sub(rb"/MCID \d+", b"/MCID 9999", b, count=1))),
    ("7.2: no language", set_key(lambda p: p.Root, "/Lang")),
    ("7.2: TR holds", set_key(lambda p: first(p, "TH"), "/S", Name.P)),
    ("7.2: TH in", set_key(lambda p: first(p, "TR"), "/S", Name.Div)),
    ("7.2: rows", drop_cell),
    ("7.3:", set_key(lambda p: first(p, "Figure"), "/Alt")),
    ("7.4.2:", set_key(lambda p: first(p, "H2"), "/S", Name.H4)),
    ("7.5:", set_key(lambda p: first(p, "TH"), "/A")),
    ("7.18.5: a link outside", untag_link),
    ("7.18.5: a link without", set_key(first_link, "/Contents")),
    ("7.18.3:", set_key(lambda p: p.pages[0].obj, "/Tabs")),
    ("7.21.4.1:", unembed),
    ("7.21.3.2:", drop_map),
    ("7.21.7:", set_key(first_font, "/ToUnicode")),
]


def try_planted(path):
    whole, missed = open(path, "rb").read(), []
    for expected, plant in PLANTED:
        with pikepdf.open(io.BytesIO(whole)) as pdf:
            plant(pdf)
            if not any(fault.startswith(expected) for fault in faults(pdf)):
                missed.append(expected)
    for expected in missed:
        print(f"{path}: nothing noticed the planted fault '{expected}'")
    return missed


def main(arguments):
    if arguments[0] == "--planted":
        return bool(try_planted(arguments[1]))
    wrong = False
    for path in arguments:
        with pikepdf.open(path) as pdf:
            for fault in faults(pdf):
                wrong = True
                print(f"{path}: {fault}")
    return wrong


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
