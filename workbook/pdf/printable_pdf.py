"""A PDF to print, opened and looked over.

In: a path. Out: its reader, and the size of its pages as they are seen. See ISO
32000-1, 7.7.3 (pages) and 14.11.2 (their boxes).
"""

from __future__ import annotations

import io
import logging
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from pypdf import PageObject, PdfReader
from pypdf.errors import PyPdfError

from workbook.errors import InputError, Problem

_DAMAGE = (
    PyPdfError,
    ValueError,
    KeyError,
    IndexError,
    TypeError,
    AttributeError,
    ArithmeticError,
    RecursionError,
    NotImplementedError,
    zlib.error,
)
"""What pypdf raises when a file is not what it says."""

_UNSEEN_NOTES = {"/Link", "/Popup"}

Size = tuple[float, float]
"""Width and height in points (1/72 inch)."""


@dataclass(frozen=True)
class Source:
    """One PDF to print; ``notes`` counts the notes and form fields that lie on its pages."""

    path: Path
    title: str
    author: str
    language: str
    sizes: tuple[Size, ...]
    notes: int


@contextmanager
def opened(path: Path) -> Iterator[PdfReader]:
    """A reader of the PDF at ``path``; a damage met while it is used is told, too.

    Raises InputError with one problem: no such file, not a PDF, cut short,
    damaged, without pages, or locked with a password.
    """
    with _quiet():
        try:
            data = path.read_bytes()
        except OSError as error:
            raise _problem(
                path,
                "there is no such file;"
                if isinstance(error, FileNotFoundError)
                else f"it cannot be read: {error.strerror or error};",
                "name the PDF files to print",
            ) from None
        if b"%PDF-" not in data[:1024]:
            raise _problem(path, "this is not a PDF;", "print jobs are made of PDF files")
        if b"%%EOF" not in data[-2048:]:
            raise _problem(path, "the file is cut short;", "make or copy it again")
        try:
            reader = PdfReader(io.BytesIO(data))
            if reader.is_encrypted:
                raise _problem(path, "the file is locked with a password;", "save it without one")
            if not reader.pages:
                raise _problem(path, "there are no pages in it;", "leave it out")
            yield reader
        except _DAMAGE:
            raise _problem(path, "the file is damaged;", "make or copy it again") from None


def look(path: Path) -> Source:
    """What there is to know of the PDF at ``path``. Raises InputError as ``opened`` does."""
    with opened(path) as reader:
        about = reader.metadata
        language = reader.trailer["/Root"].get("/Lang")
        return Source(
            path,
            _words(about and about.title) or _words(path.stem),
            _words(about and about.author),
            _words(language),
            tuple(seen_size(page) for page in reader.pages),
            sum(_notes(page) for page in reader.pages),
        )


def seen_box(page: PageObject) -> tuple[float, float, float, float]:
    """The part of ``page`` that prints, in its own units: the crop box within the media box."""
    media, crop = page.mediabox, page.cropbox
    x0, y0 = max(media.left, crop.left), max(media.bottom, crop.bottom)
    x1, y1 = min(media.right, crop.right), min(media.top, crop.top)
    if not (x0 < x1 and y0 < y1):
        raise ValueError("a page without area")
    return float(x0), float(y0), float(x1), float(y1)


def turn(page: PageObject) -> int:
    """By how many degrees ``page`` is shown turned clockwise: 0, 90, 180 or 270."""
    degrees = page.rotation % 360
    return degrees if degrees in (90, 180, 270) else 0


def unit(page: PageObject) -> float:
    """The page's unit in points; 1 unless it says otherwise."""
    return float(page.get("/UserUnit", 1))


def seen_size(page: PageObject) -> Size:
    """Width and height in points of ``page`` as it is seen, turned if it says so."""
    x0, y0, x1, y1 = seen_box(page)
    width, height = (x1 - x0) * unit(page), (y1 - y0) * unit(page)
    return (height, width) if turn(page) in (90, 270) else (width, height)


def _notes(page: PageObject) -> int:
    found = page.get("/Annots")
    notes = [one.get_object() for one in (found.get_object() if found is not None else ()) or ()]
    return sum(1 for note in notes if note and note.get("/Subtype") not in _UNSEEN_NOTES)


def _words(text) -> str:
    """A line of text fit for a title: no line ends, no control characters."""
    printable = "".join(c if c.isprintable() else " " for c in str(text or ""))
    return " ".join(printable.split())


def _problem(path: Path, what: str, instead: str) -> InputError:
    return InputError([Problem(str(path), "", what, instead)])


@contextmanager
def _quiet() -> Iterator[None]:
    """Pypdf logs what it mends; what it cannot mend it raises."""
    log = logging.getLogger("pypdf")
    before = log.level
    log.setLevel(logging.CRITICAL + 1)
    try:
        yield
    finally:
        log.setLevel(before)
