"""What a PDF is made of: fonts embedded, nothing active, nothing that tells of this machine.

In: the bytes of a PDF. Out: findings. See ISO 32000-1, 7.7 (catalogue), 9.6 and
9.9 (fonts), 12.3.3 (outline), 12.4.2 (page labels), 12.6 (actions), 14.3
(information), 14.9.2 (language); the numbers are from memory.
"""

from __future__ import annotations

import io
import re
import tempfile
from collections.abc import Iterator
from pathlib import Path

from pypdf import PdfReader
from pypdf.errors import PyPdfError
from pypdf.generic import (
    ArrayObject,
    ByteStringObject,
    DictionaryObject,
    IndirectObject,
    StreamObject,
    TextStringObject,
)

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
"""Entries that act, link or carry files."""
_FONT_FILES = ("/FontFile", "/FontFile2", "/FontFile3")
_SUBSET = re.compile(r"/[A-Z]{6}\+")
_BOXES = ("/CropBox", "/TrimBox", "/BleedBox", "/ArtBox")
_TYPED = ("/Title", "/Author", "/P")
"""Entries that hold words of the teacher's, which may look like anything."""


def object_faults(data: bytes) -> Iterator[tuple[int, str]]:
    """(page, what is wrong) in the objects of a PDF."""
    try:
        reader = PdfReader(io.BytesIO(data), strict=True)
        yield from _document(reader)
        seen: set[int] = set()
        for number, page in enumerate(reader.pages, 1):
            yield from _page(number, page)
            yield from _objects(number, page, seen)
        yield from _objects(0, reader.trailer, seen)
    except (
        PyPdfError,
        ValueError,
        KeyError,
        IndexError,
        AttributeError,
        TypeError,
        RecursionError,
    ) as error:
        yield 0, f"not a sound PDF: {type(error).__name__}: {error}"


def _document(reader: PdfReader) -> Iterator[tuple[int, str]]:
    catalogue, info = reader.trailer["/Root"], reader.metadata or {}
    for name in ("/Title", "/Author"):
        if not info.get(name):
            yield 0, f"it has no {name[1:].lower()}"
    if not catalogue.get("/Lang"):
        yield 0, "it does not say its language"
    if not reader.outline:
        yield 0, "it has no outline"
    if "/PageLabels" not in catalogue:
        yield 0, "it has no page labels"


def _page(number: int, page) -> Iterator[tuple[int, str]]:
    whole = [float(value) for value in page["/MediaBox"]]
    if whole[:2] != [0, 0]:
        yield number, "the page does not begin at its lower left corner"
    for name in _BOXES:
        if name in page and [float(value) for value in page[name]] != whole:
            yield number, f"the page's {name[1:]} is not the whole page"
    if page.get("/Rotate", 0) or page.get("/UserUnit", 1) != 1:
        yield number, "the page is turned or scaled"


def _objects(number: int, start, seen: set[int]) -> Iterator[tuple[int, str]]:
    """Everything that ``start`` leads to and that is not in ``seen``, itself and other pages."""
    waiting = [("", start)]
    while waiting:
        name, value = waiting.pop()
        if isinstance(value, IndirectObject):
            if value.idnum in seen:
                continue
            seen.add(value.idnum)
            value = value.get_object()
        if isinstance(value, DictionaryObject):
            yield from _entries(number, value)
            waiting += [(key, value.raw_get(key)) for key in value if key != "/Parent"]
            if isinstance(value, StreamObject):
                yield from _paths(number, value.get_data())
        elif isinstance(value, ArrayObject):
            waiting += [(name, one) for one in list.__iter__(value)]
        elif isinstance(value, TextStringObject) and name not in _TYPED:
            yield from _paths(number, value.encode("utf-8", "replace"))
        elif isinstance(value, ByteStringObject):
            yield from _paths(number, bytes(value))


def _entries(number: int, value: DictionaryObject) -> Iterator[tuple[int, str]]:
    for name in sorted(_ACTIVE & value.keys()):
        if value[name]:
            yield number, f"it has {name[1:]}: a link, form, action or file"
    if value.get("/Type") == "/Font" and not value.get("/Subtype", "").startswith("/CIDFont"):
        yield from _font(number, value)


def _font(number: int, font: DictionaryObject) -> Iterator[tuple[int, str]]:
    name = str(font.get("/BaseFont", "without a name"))
    if font["/Subtype"] == "/Type3":
        yield number, f"font {name} is of Type 3"
        return
    inner = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
    described = inner["/FontDescriptor"] if "/FontDescriptor" in inner else {}
    if not any(entry in described for entry in _FONT_FILES):
        yield number, f"font {name} is not embedded"
    elif not _SUBSET.match(name):
        yield number, f"font {name} is embedded whole"


def _paths(number: int, data: bytes) -> Iterator[tuple[int, str]]:
    for path in _machine():
        if path in data:
            yield number, f"it names a file or folder of this computer: {path.decode()}"


def _machine() -> list[bytes]:
    """What the names of this machine's files begin with."""
    folders = {
        str(path)
        for path in (Path.home(), Path(tempfile.gettempdir()), Path.cwd())
        if len(path.parts) > 1
    }
    return sorted([b"file:/", b"textedit:", *(folder.encode() + b"/" for folder in folders)])
