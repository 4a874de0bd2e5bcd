"""Marks that come in: tables of points as CSV and .xlsx, marks from another program as JSON."""

from __future__ import annotations

import io
import json
import zipfile
from random import Random

import openpyxl
from bad_files import replaced, spoilt_pdf
from bad_studios import CODES, kept
from bad_tables import MISTAKES, as_saved
from case import Case, random
from hostile import encoded, spoiled
from made import AROUND, STUDIO, Made

_BOMB = 60_000_000
"""Bytes that a few kilobytes of .xlsx become."""


def points_table(number: int, made: Made) -> Case:
    """The mark sheet of a week with points and mistakes, CSV or .xlsx, to be entered."""
    rng = random("points table", number)
    words = made.build["mark-sheet.csv"].decode("utf-8-sig").split("\r\n")
    table = [line.split(",") for line in words if line]
    table[1][table[0].index("A")] = rng.choice(("1", "0.5", "½", "=1", "2", "one", "1e999", "nan"))
    for _ in range(rng.randint(0, 2)):
        rng.choice(MISTAKES)(rng, table)
    if rng.random() < 0.1:
        table += [["x", "y", made.code, "1"]] * rng.choice((2, 100_000))
    if number % 2:
        name, data = "points.xlsx", rng.choice(_XLSX)(rng, table)
    else:
        name, data = "points.csv", as_saved(rng, table)
    if rng.random() < 0.15:
        data = spoiled(rng, data)
    return _marking(("points table", number), made, ("--table", name), name, data)


def marks_json(number: int, made: Made) -> Case:
    """Marks from a program with one to three nodes replaced, or spoilt as text."""
    rng = random("marks json", number)
    sheet = {
        "code": made.code,
        "outcomes": {"1.1": "right"},
        "given": {"1.1": "C"},
        "by": "Bo",
        "way": "scan",
    }
    data: object = {"sheets": [sheet] * rng.choice((1, 1, 2))}
    for _ in range(rng.randint(1, 3)):
        data = replaced(rng, data)
    words = json.dumps(data, ensure_ascii=rng.random() < 0.7)
    if rng.random() < 0.2:
        inner = rng.choice(("[" * 100_000, "1" * 5000, '"\\ud800"', '{"1.1": "\\udfff"}', "NaN"))
        words = words.replace('"Bo"', inner).replace('"right"', inner)
    if rng.random() < 0.1:
        words = words[:-2] + f", {json.dumps(sheet)}" * 30_000 + "]}"
    saved = encoded(rng, words) if rng.random() < 0.2 else words.encode("utf-8", "surrogatepass")
    if rng.random() < 0.1:
        saved = spoiled(rng, saved)
    return _marking(
        ("marks json", number), made, ("--from-json", "marks.json"), "marks.json", saved
    )


def returned(number: int, made: Made) -> Case:
    """A sheet that comes back as a PDF, spoilt; it must not mark what it does not say."""
    rng = random("returned", number)
    data = spoilt_pdf(rng, made.build)
    if rng.random() < 0.3:
        data = data.replace(*rng.choice(_FORMS))
    return _marking(("returned", number), made, ("back.pdf",), "back.pdf", data)


_FORMS = (
    (
        b"/Type /Page\n",
        b"/Type /Page /Annots [" + b"<</Subtype/FreeText/Rect[0 0 9 9]>>" * 9 + b"]\n",
    ),
    (b"/Type /Page\n", b"/Type /Page /Annots 1 0 R\n"),
    (b"/Type /Page\n", b"/Type /Page /Annots [<</Subtype/Widget/Parent 1 0 R/T(a)/Rect[nan]>>]\n"),
    (b"/Type /Catalog", b"/Type /Catalog /AcroForm <</Fields [1 0 R 1 0 R]>>"),
    (b"/Type /Catalog", b"/Type /Catalog /AcroForm <</XFA (x) /Fields 7>>"),
)
"""Words of a PDF, and forms and notes in their place."""


def _marking(which, made: Made, words: tuple[str, ...], name: str, data: bytes) -> Case:
    return Case(
        *which,
        ("mark", *words, "--studio", STUDIO),
        {**made.begun, name: data},
        (name,),
        CODES,
        lost=kept(made),
        environment=AROUND,
    )


def _book(rng: Random, table: list[list[str]]) -> bytes:
    """The table as a spreadsheet program saves it, numbers as numbers, with odd cells."""
    book = openpyxl.Workbook()
    for row in table:
        book.active.append([_odd(rng, cell) for cell in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _odd(rng: Random, cell: str):
    clean = openpyxl.cell.cell.ILLEGAL_CHARACTERS_RE.sub("", cell)[:32_000]
    if clean.isascii() and clean.isdecimal():
        return int(clean[:15])
    if rng.random() < 0.05:
        return rng.choice((True, 1e300, -1, 0.333333333, "=1+1", "=SUM(A1:XFD1)", "#REF!", None))
    return clean


def _with_part(rng: Random, table: list[list[str]]) -> bytes:
    """A part of the archive changed: too large, wrong, gone, or there twice."""
    part, change = rng.choice(_PARTS)
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(_book(rng, table))) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for name in old.namelist():
            content = old.read(name)
            new.writestr(name, change(content) if name.endswith(part) else content)
    return out.getvalue()


def _cells(count: int) -> bytes:
    return b'<row r="1">' + b'<c t="n"><v>1</v></c>' * count + b"</row>"


_ENTITIES = b"".join(
    b'<!ENTITY a%d "%s">' % (n, b"&a%d;" % (n - 1) * 10 if n else b"ha" * 1000) for n in range(9)
)
_SHEET = b"<sheetData>"
_PARTS = (
    ("sheet1.xml", lambda data: data.replace(_SHEET, b" " * _BOMB + _SHEET)),
    ("sheet1.xml", lambda data: data.replace(_SHEET, _SHEET + _cells(2_000_000))),
    ("sheet1.xml", lambda data: data.replace(_SHEET, _SHEET + _cells(1) * 1_000_000)),
    ("sheet1.xml", lambda data: data.replace(_SHEET, _SHEET + b'<row r="1048576"></row>')),
    ("sheet1.xml", lambda data: data.replace(_SHEET, _SHEET + b'<row r="99999999999"></row>')),
    ("sheet1.xml", lambda data: data.replace(b'r="C1"', b'r="XFD1048576"')),
    ("sheet1.xml", lambda data: data.replace(b'r="C1"', b'r="ZZZZZZ1"')),
    ("sheet1.xml", lambda data: data.replace(b"<v>0</v>", b"<v>99999</v>")),
    ("sheet1.xml", lambda data: data.replace(b'ref="A1', b'ref="A1:XFD1048576" x="')),
    ("sheet1.xml", lambda data: data[: len(data) // 2]),
    ("sheet1.xml", lambda data: b"<!DOCTYPE x [" + _ENTITIES + b"]><x>&a8;</x>"),
    ("sharedStrings.xml", lambda data: data.replace(b"<t>", b"<t>" + b"x" * _BOMB, 1)),
    ("sharedStrings.xml", lambda data: b""),
    ("sharedStrings.xml", lambda data: data.replace(b"<si>", b"<si><t></t></si>" * 500_000, 1)),
    ("workbook.xml", lambda data: data.replace(b"<sheet ", b"<sheot ")),
    ("workbook.xml", lambda data: data.replace(b"</sheets>", b"</sheets>" + b" " * _BOMB)),
    ("styles.xml", lambda data: b"\x00\xff"),
    ("workbook.xml.rels", lambda data: data.replace(b"worksheets/", b"../../../etc/")),
    ("[Content_Types].xml", lambda data: b"<Types/>"),
)
"""Parts of an .xlsx workbook, and what is made of each."""


def _no_book(rng: Random, table: list[list[str]]) -> bytes:
    return rng.choice((b"", b"PK\x03\x04", as_saved(rng, table), rng.randbytes(3000), _zipped()))


def _zipped() -> bytes:
    """An archive whose one entry says that it is small."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b"\0" * _BOMB)
    return out.getvalue().replace(_BOMB.to_bytes(4, "little"), (9).to_bytes(4, "little"))


_XLSX = (_book, _book, _with_part, _with_part, _with_part, _no_book)
