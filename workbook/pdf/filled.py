"""What was written into a PDF on a screen: form fields, notes, text of a flattened form.

In: the bytes of a file that came back. Out: for each page its key code and page number, as its
foot says, and what was typed where. Widgets and free-text notes are read from the file
(ISO 32000-1, 12.5.6 and 12.7); text on the page is read by pdfium.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Self

import pikepdf
import pypdfium2

from workbook.pdf.finished import Unreadable

Rect = tuple[float, float, float, float]
_FOOT = re.compile(r"page (\d+) of (\d+)")
_CODE = re.compile(r"\b[2-9A-HJ-NP-Z]{3}-[2-9A-HJ-NP-Z]{3}\b")
_DRAWN = {"/Ink", "/Line", "/PolyLine", "/Stamp"}
_DEEPEST = 32
"""The most parents that a field may have; more are a fault of the file."""


@dataclass(frozen=True)
class Typed:
    """A text and where it stands, in points; ``name`` is that of its field, or ""."""

    rect: Rect
    text: str
    name: str = ""

    @property
    def middle(self) -> tuple[float, float]:
        left, bottom, right, top = self.rect
        return (left + right) / 2, (bottom + top) / 2


@dataclass
class FilledPage:
    """A page that came back.

    ``code`` and ``number`` are what its foot says, "" and 0 where it says nothing. ``fields`` are
    form fields, ``notes`` free-text notes. ``drawn`` says whether something was drawn by hand.
    """

    code: str
    number: int
    fields: list[Typed] = field(default_factory=list)
    notes: list[Typed] = field(default_factory=list)
    drawn: bool = False


class FilledFile:
    """A file that came back. Use as a context manager. Raises Unreadable."""

    def __init__(self, data: bytes):
        try:
            self._pages = list(_annotated(data))
            self._pdfium = pypdfium2.PdfDocument(data)
        except (
            pikepdf.PdfError,
            pypdfium2.PdfiumError,
            ValueError,
            LookupError,
            AttributeError,
            TypeError,
            RecursionError,
        ) as error:
            raise Unreadable(str(error)) from None
        self.pages: list[FilledPage] = []
        for found, page in zip(self._pages, self._pdfium):
            text = page.get_textpage().get_text_range()
            foot, code = _FOOT.findall(text), _CODE.findall(text)
            found.number = int(foot[-1][0]) if foot else 0
            found.code = code[-1] if code else ""
            self.pages.append(found)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._pdfium.close()

    def text_in(self, page: int, rect: Rect) -> str:
        """The text that page ``page`` (from 0) itself shows inside ``rect``."""
        textpage = self._pdfium[page].get_textpage()
        return " ".join(textpage.get_text_bounded(*rect).split())


def _annotated(data: bytes) -> Iterator[FilledPage]:
    with pikepdf.open(io.BytesIO(data)) as pdf:
        for page in pdf.pages:
            found = FilledPage("", 0)
            annotations = page.obj.get("/Annots")
            if isinstance(annotations, pikepdf.Array):
                for annotation in annotations:
                    if isinstance(annotation, pikepdf.Dictionary):
                        _add(found, annotation)
            yield found


def _add(page: FilledPage, annotation: pikepdf.Dictionary) -> None:
    kind = str(annotation.get("/Subtype", ""))
    if kind in _DRAWN:
        page.drawn = True
        return
    left, bottom, right, top = (float(value) for value in annotation.Rect)
    rect = min(left, right), min(bottom, top), max(left, right), max(bottom, top)
    if kind == "/Widget" and _inherited(annotation, "/FT") == pikepdf.Name.Tx:
        value = _inherited(annotation, "/V")
        page.fields.append(Typed(rect, _text(value), _name(annotation)))
    elif kind == "/FreeText":
        page.notes.append(Typed(rect, _text(annotation.get("/Contents"))))


def _text(value: object) -> str:
    if isinstance(value, pikepdf.Stream):
        return value.read_bytes().decode("utf-8", "replace").strip()
    return str(value).strip() if isinstance(value, pikepdf.String | str) else ""


def _inherited(node: pikepdf.Object, key: str) -> pikepdf.Object | None:
    for _ in range(_DEEPEST):
        if key in node:
            return node[key]
        if "/Parent" not in node:
            return None
        node = node["/Parent"]
    return None


def _name(node: pikepdf.Object) -> str:
    """The full name of a field, its parents' names before its own."""
    parts: list[str] = []
    for _ in range(_DEEPEST):
        if "/T" in node:
            parts.insert(0, str(node["/T"]))
        if "/Parent" not in node:
            break
        node = node["/Parent"]
    return ".".join(parts)
