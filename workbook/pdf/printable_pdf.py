"""A PDF to print: opened, and what must be known of it before.

In: a path. Out: the open PDF; the size, rotation and unit of its pages. See ISO
32000-1, 7.6.3 (permissions), 7.7.3 (pages) and 14.11.2 (page boundaries).
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from math import isfinite
from pathlib import Path

import pikepdf

from workbook.errors import InputError, Problem
from workbook.inputs.files import open_file
from workbook.inputs.messages import reason
from workbook.pdf.limits import DAMAGE, Refused

_NOT_NOTES = {"/Link", "/Popup"}
"""Annotations that show nothing of their own."""
_DEEPEST = 64
"""Levels of a page tree; more would be a circle."""
_NO_BOX = "the size of a page is not four numbers"
_LARGEST = 1e6
"""Points: a page of 350 m. Larger numbers come from damage."""

Size = tuple[float, float]
"""Width and height in points (1/72 inch)."""


@dataclass(frozen=True)
class PrintablePdf:
    """One PDF to print; ``notes`` counts the notes and form fields on its pages."""

    path: Path
    title: str
    author: str
    subject: str
    language: str
    sizes: tuple[Size, ...]
    notes: int


@contextmanager
def opened(path: Path) -> Iterator[pikepdf.Pdf]:
    """The PDF at ``path``; damage met while it is used is reported, too.

    Raises InputError with one problem: no such file, not a PDF, cut short, damaged,
    without pages, locked with a password, or not allowed to be printed.
    """
    _check_ends(path)
    try:
        # the page tree as it is in the file, which qpdf else corrects
        with pikepdf.open(path, inherit_page_attributes=False) as pdf:
            if not pdf.allow.print_highres:
                raise _problem(
                    path, "the file does not allow printing;", "ask its author for one that does"
                )
            listed = pdf.Root.Pages.get("/Count", 0)  # read before the pages
            if not len(pdf.pages):
                raise _problem(path, "there are no pages in it;", "leave it out")
            if listed > len(pdf.pages):
                raise ValueError("pages are missing")
            if any("MediaBox is undefined" in warning for warning in pdf.get_warnings()):
                raise Refused(_NO_BOX)  # qpdf makes it Letter
            yield pdf
    except pikepdf.PasswordError:
        raise _problem(path, "the file is locked with a password;", "save it without one") from None
    except Refused as error:
        raise _problem(path, f"{error};", "make the file again") from None
    except DAMAGE:
        raise _problem(path, "the file is damaged;", "make or copy it again") from None


def look(path: Path) -> PrintablePdf:
    """What must be known about the PDF at ``path``. Raises InputError as ``opened`` does."""
    with opened(path) as pdf:
        info = pdf.trailer.get("/Info", pikepdf.Dictionary())
        return PrintablePdf(
            path,
            _words(info.get("/Title")) or _one_line(path.stem),
            _words(info.get("/Author")),
            _words(info.get("/Subject")),
            _words(pdf.Root.get("/Lang")),
            tuple(page_size(page) for page in pdf.pages),
            sum(_notes(page) for page in pdf.pages),
        )


def inherited(page: pikepdf.Page, key: str) -> pikepdf.Object | None:
    """An entry of ``page`` that it has itself or from a node above it in the page tree."""
    node: pikepdf.Object | None = page.obj
    for _ in range(_DEEPEST):
        if not isinstance(node, pikepdf.Dictionary):
            return None
        value = node.get(key)
        if value is not None:
            return value
        node = node.get("/Parent")
    raise ValueError("a page tree without a root")


def printed_box(page: pikepdf.Page) -> tuple[float, float, float, float]:
    """The part of ``page`` that prints, in its own units: the crop box within the media box."""
    media, crop = box(inherited(page, "/MediaBox")), inherited(page, "/CropBox")
    left, bottom, right, top = media if crop is None else box(crop)
    x0, y0 = max(media[0], left), max(media[1], bottom)
    x1, y1 = min(media[2], right), min(media[3], top)
    if not (x0 < x1 and y0 < y1):
        raise Refused("a page has no area")
    return x0, y0, x1, y1


def trim_box(page: pikepdf.Page) -> tuple[float, float, float, float]:
    """Where the paper is to be cut: what the page says, or else what prints of it (14.11.2)."""
    try:
        return box(page.obj.get("/TrimBox"))
    except Refused:
        return printed_box(page)


def rotation(page: pikepdf.Page) -> int:
    """By how many degrees ``page`` is shown turned clockwise: 0, 90, 180 or 270."""
    degrees = int(inherited(page, "/Rotate") or 0) % 360
    return degrees if degrees in (90, 180, 270) else 0


def user_unit(page: pikepdf.Page) -> float:
    """The page's unit in points; 1 unless the page has another. Raises Refused for no number."""
    unit = float(page.obj.get("/UserUnit", 1))
    if not 0 < unit < _LARGEST:
        raise Refused("the unit of a page is not a number above 0")
    return unit


def page_size(page: pikepdf.Page) -> Size:
    """Width and height in points of what prints of ``page``, after its rotation."""
    x0, y0, x1, y1 = printed_box(page)
    width, height = (x1 - x0) * user_unit(page), (y1 - y0) * user_unit(page)
    if max(width, height) > _LARGEST:
        raise Refused("a page is larger than any paper")
    return (height, width) if rotation(page) in (90, 270) else (width, height)


def _check_ends(path: Path) -> None:
    """Raise InputError unless a PDF begins and ends in the file."""
    try:
        with open_file(path) as file:
            begin = file.read(1024)
            file.seek(-min(2048, file.seek(0, os.SEEK_END)), os.SEEK_END)
            end = file.read()
    except OSError as error:
        what = f"it cannot be read: {reason(error)};"
        raise _problem(path, what, "name the PDF files to print") from None
    if b"%PDF-" not in begin:
        raise _problem(path, "this is not a PDF;", "print jobs are made of PDF files")
    if b"%%EOF" not in end:
        raise _problem(path, "the file is cut short;", "make or copy it again")


def box(value: pikepdf.Object | None) -> tuple[float, float, float, float]:
    """A rectangle, whose opposite corners may be given in any order (7.9.5).

    Raises Refused unless it is four finite numbers.
    """
    try:
        x0, y0, x1, y1 = map(float, value or ())
    except (ValueError, TypeError, ArithmeticError):
        raise Refused(_NO_BOX) from None
    if not all(map(isfinite, (x0, y0, x1, y1))):
        raise Refused(_NO_BOX)
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


def _notes(page: pikepdf.Page) -> int:
    notes = [one for one in page.obj.get("/Annots", ()) if isinstance(one, pikepdf.Dictionary)]
    return sum(1 for note in notes if str(note.get("/Subtype")) not in _NOT_NOTES)


def _words(value: object) -> str:
    return _one_line(str(value)) if isinstance(value, pikepdf.String) else ""


def _one_line(text: str) -> str:
    """Text fit for a title: no line ends, no control characters."""
    printable = "".join(c if c.isprintable() else " " for c in text)
    return " ".join(printable.split())


def _problem(path: Path, what: str, instead: str) -> InputError:
    return InputError([Problem(str(path), "", what, instead)])
