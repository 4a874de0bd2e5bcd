"""Checks the objects of a PDF: embedded fonts, no active content, no paths of this computer.

In: the bytes of a PDF. Out: findings. See ISO 32000-1, 7.7 (catalog), 9.6 and 9.9 (fonts),
12.3.3 (outline), 12.4.2 (page labels), 12.6 (actions), 14.3 (information), 14.9.2
(language); the clause numbers are from memory.
"""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pikepdf

from workbook.pdf.finished import opened
from workbook.pdf.limits import unfolded
from workbook.pdf.printable_pdf import box, inherited
from workbook.pdf.syntax import Key

_ACTIVE = frozenset(
    (
        "/A",
        "/AA",
        "/AcroForm",
        "/Annots",
        "/EF",
        "/EmbeddedFiles",
        "/JS",
        "/JavaScript",
        "/Launch",
        "/OpenAction",
        "/RichMedia",
        "/URI",
        "/XFA",
    )
)
"""Entries that run actions, link or embed files."""
_FONT_FILES = ("/FontFile", "/FontFile2", "/FontFile3")
_SUBSET = re.compile(r"/[A-Z]{6}\+")
_BOXES = ("/CropBox", "/TrimBox", "/BleedBox", "/ArtBox")
_TYPED = ("/Title", "/Author", "/P")
"""Entries with text that the teacher typed, which may look like a path."""

Faults = Iterator[tuple[int, str]]
"""(page, what is wrong); page 0 for the whole file."""


def object_faults(data: bytes) -> Faults:
    """(page, what is wrong) in the objects of a PDF. Raises Unreadable."""
    with opened(data) as pdf:
        yield from _document(pdf)
        walked: set[Key] = set()
        for count, page in enumerate(pdf.pages, 1):
            yield from _page(count, page)
            yield from _objects(count, page.obj, walked)
        yield from _objects(0, pdf.trailer, walked)


def _document(pdf: pikepdf.Pdf) -> Faults:
    catalog, info = pdf.Root, pdf.trailer.get("/Info", pikepdf.Dictionary())
    for name in ("/Title", "/Author"):
        if not str(info.get(name, "")):
            yield 0, f"it has no {name[1:].lower()}"
    if not str(catalog.get("/Lang", "")):
        yield 0, "its language is missing"
    if "/First" not in catalog.get("/Outlines", pikepdf.Dictionary()):
        yield 0, "it has no outline"
    if "/PageLabels" not in catalog:
        yield 0, "it has no page labels"


def _page(count: int, page: pikepdf.Page) -> Faults:
    whole = box(inherited(page, "/MediaBox"))
    if whole[:2] != (0, 0):
        yield count, "the page does not begin at its lower left corner"
    for name in _BOXES:
        part = inherited(page, name) if name == "/CropBox" else page.obj.get(name)
        if part is not None and box(part) != whole:
            yield count, f"the page's {name[1:]} is not the whole page"
    if inherited(page, "/Rotate") or page.obj.get("/UserUnit", 1) != 1:
        yield count, "the page is rotated or scaled"


def _objects(count: int, start: pikepdf.Object, walked: set[Key]) -> Faults:
    """Check ``start`` and every object it refers to, except those in ``walked``.

    Does not follow ``/Parent``, so that other pages are left out.
    """
    waiting: list[tuple[str, object]] = [("", start)]
    while waiting:
        name, value = waiting.pop()
        if isinstance(value, pikepdf.Object) and value.is_indirect:
            if value.objgen in walked:
                continue
            walked.add(value.objgen)
        if isinstance(value, pikepdf.Stream):
            yield from _entries(count, value.stream_dict)
            waiting += value.stream_dict.items()
            if value.get("/Type") != pikepdf.Name.Metadata:  # title and author once more
                yield from _paths(count, unfolded(value))
        elif isinstance(value, pikepdf.Dictionary):
            yield from _entries(count, value)
            waiting += ((key, entry) for key, entry in value.items() if key != "/Parent")
        elif isinstance(value, pikepdf.Array):
            waiting += ((name, item) for item in value)
        elif isinstance(value, pikepdf.String) and name not in _TYPED:
            # the bytes as written and the decoded text, which may be UTF-16
            yield from _paths(count, bytes(value) + b"\n" + str(value).encode("utf-8", "replace"))


def _entries(count: int, value: pikepdf.Dictionary) -> Faults:
    for name in sorted(_ACTIVE & value.keys()):
        if _is_something(value[name]) and not _is_of_a_table(name, value[name]):
            yield count, f"it has {name[1:]}: a link, form, action or file"
    whole_font = not str(value.get("/Subtype", "")).startswith("/CIDFont")
    if value.get("/Type") == pikepdf.Name.Font and whole_font:
        yield from _font(count, value)


def _is_of_a_table(name: str, value: object) -> bool:
    """Whether an entry is no action but the attributes of a table's cell (14.7.6)."""
    return (
        name == "/A"
        and isinstance(value, pikepdf.Dictionary)
        and value.get("/O") == pikepdf.Name.Table
        and "/S" not in value
    )


def _is_something(value: object) -> bool:
    """Whether an entry is not empty."""
    if isinstance(value, pikepdf.Dictionary | pikepdf.Array):
        return len(value) > 0
    return bool(value)


def _font(count: int, font: pikepdf.Dictionary) -> Faults:
    name = str(font.get("/BaseFont", "without a name"))
    if font["/Subtype"] == pikepdf.Name.Type3:
        yield count, f"font {name} is of Type 3"
        return
    inner = font["/DescendantFonts"][0] if "/DescendantFonts" in font else font
    described = inner.get("/FontDescriptor", pikepdf.Dictionary())
    if not any(entry in described for entry in _FONT_FILES):
        yield count, f"font {name} is not embedded"
    elif not _SUBSET.match(name):
        yield count, f"font {name} is embedded in full, not as a subset"


def _paths(count: int, data: bytes) -> Faults:
    for path in _machine():
        if path in data:
            yield count, f"it names a file or folder of this computer: {path.decode()}"


def _machine() -> list[bytes]:
    """The prefixes of paths on this computer."""
    folders = set()
    for find in (Path.home, tempfile.gettempdir, Path.cwd):
        with suppress(OSError, RuntimeError):  # no home, or the working folder is deleted
            path = Path(find())
            if len(path.parts) > 1:
                folders.add(str(path))
    return sorted([b"file:/", b"textedit:", *(folder.encode() + b"/" for folder in folders)])
