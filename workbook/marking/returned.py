"""Sheets that came back as PDF files, filled in on a screen.

In: the bytes of a file, and the records of the sheets it may hold. Out: what was written in each
blank of each sheet, and a line for each thing that could not be read.

A form field counts by its name, or where the name is lost by its place; then a note whose middle
lies in a box; then the text that a flattened form leaves in a box.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from workbook.inputs.messages import quoted
from workbook.marking.form_names import field_blank
from workbook.pdf.filled import FilledFile, FilledPage, Typed
from workbook.record.model import Record

_SLACK = 2.0
"""Points by which the middle of a note may miss its box."""


@dataclass
class Returned:
    """A sheet that came back: what was written, by blank id; only pages that are there count.

    ``pages`` are those of the sheet that the file has.
    """

    code: str
    given: dict[str, str] = field(default_factory=dict)
    pages: set[int] = field(default_factory=set)


@dataclass(frozen=True)
class ReadBack:
    """The sheets in a file, by key code, and sentences on what could not be read."""

    sheets: Mapping[str, Returned]
    unread: tuple[str, ...]


def read_returned(data: bytes, known: Callable[[str], Record | None]) -> ReadBack:
    """What is in a returned file; ``known`` gives the record for a key code, or None.

    Raises ``pdf.finished.Unreadable``.
    """
    with FilledFile(data) as file:
        reader = _Reader(file, known)
        for index in range(len(file.pages)):
            reader.read(index)
    if not reader.sheets and not reader.unread:
        reader.unread.append("no page has a key code or a field of a sheet")
    return ReadBack(reader.sheets, tuple(reader.unread))


class _Reader:
    """Reads the pages of a file one after the other."""

    def __init__(self, file: FilledFile, known: Callable[[str], Record | None]):
        self._file, self._known = file, known
        self.sheets: dict[str, Returned] = {}
        self.unread: list[str] = []

    def read(self, index: int) -> None:
        """Read page ``index``, from 0."""
        page = self._file.pages[index]
        code = _code(page)
        record = self._known(code) if code else None

        def tell(words: str) -> None:
            self.unread.append(f"page {index + 1}: {words}")

        if record is None:
            if code or page.fields or page.notes:
                tell(f"its key code {code} is not in the record" if code else "it has no key code")
            return
        sheet = self.sheets.setdefault(code, Returned(code))
        number = page.number or _page_of(page, record)
        sheet.pages.add(number)
        rects = {blank.id: blank.rect for blank in record.blanks if blank.page == number}
        found = _typed(page, {blank.id for blank in record.blanks}, rects, tell)
        if not page.fields:  # a form that was flattened, or a page written on with notes
            for name, rect in rects.items():
                found[name] = found.get(name) or self._file.text_in(index, rect)
        if page.drawn:
            tell("something was drawn by hand; look at it")
        for name, text in found.items():
            before = sheet.given.get(name, "")
            if before and text and before != text:
                tell(
                    f"box {name} of {code} comes twice, as {quoted(before)} and {quoted(text)}; "
                    "the first counts"
                )
            else:
                sheet.given[name] = before or text


def _typed(
    page: FilledPage,
    names: set[str],
    rects: Mapping[str, tuple[float, float, float, float]],
    tell: Callable[[str], None],
) -> dict[str, str]:
    """The texts of a page's fields and notes, by blank id."""
    found: dict[str, str] = {}
    for typed in page.fields:
        named = field_blank(typed.name)
        name = named[1] if named and named[1] in names else _at(typed, rects)
        if name:
            found[name] = typed.text or found.get(name, "")
        elif typed.text:
            tell(f"{quoted(typed.text)} is in a field of no box")
    for note in page.notes:
        name = _at(note, rects)
        if not name:
            tell(f"the note {quoted(note.text)} is in no box")
        elif not found.get(name):
            found[name] = note.text
    return found


def _code(page: FilledPage) -> str:
    """The key code of a page: from its fields, or else from its foot."""
    named = (field_blank(typed.name) for typed in page.fields)
    return next((found[0] for found in named if found), page.code)


def _page_of(page: FilledPage, record: Record) -> int:
    """The page of the sheet that a page's fields belong to; 1 if they do not say."""
    pages = {blank.id: blank.page for blank in record.blanks}
    for typed in page.fields:
        named = field_blank(typed.name)
        if named and named[1] in pages:
            return pages[named[1]]
    return 1


def _at(typed: Typed, rects: Mapping[str, tuple[float, float, float, float]]) -> str:
    """The blank in whose rectangle the middle of a text lies, or ""."""
    x, y = typed.middle
    for name, (left, bottom, right, top) in rects.items():
        if left - _SLACK <= x <= right + _SLACK and bottom - _SLACK <= y <= top + _SLACK:
            return name
    return ""
