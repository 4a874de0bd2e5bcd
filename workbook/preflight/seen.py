"""What is to be seen on a page: words and ink where the blanks are, found by rendering it.

In: a record, and the bytes of one of its PDFs. Out: findings. The reading is
pdfium's, which had no part in the writing.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor

import pypdfium2
import pypdfium2.raw as pdfium

from workbook.preflight.content import Rect
from workbook.preflight.places import in_box
from workbook.preflight.record import Asked, Record

PIXELS_PER_POINT = 2.0
_WHITE = 235
"""Of 255: below it a pixel is ink. A line of 0.1 point is seen as 204."""
_REDDER = 40
"""Of 255: a pixel with so much more red than green is of the colour of the answers."""
_NEAR = 1.0
"""Points: a stroked rectangle so near a blank's is its box."""


def seen_faults(record: Record, data: bytes, answered: bool) -> Iterator[tuple[int, str]]:
    """(page, what is wrong) with the blanks of a workbook, or of its answer key."""
    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError as error:
        yield 0, f"it cannot be drawn: {error}"
        return
    with document:
        for number in range(1, len(document) + 1):
            blanks = record.on(number)
            page = document[number - 1]
            yield from ((number, what) for what in _text(page, blanks, answered))
            ink = _answer_ink(page, blanks) if answered else _workbook_ink(page, blanks)
            yield from ((number, what) for what in ink)


def _text(page, blanks: list[Asked], answered: bool) -> Iterator[str]:
    words = page.get_textpage()
    for blank in blanks:
        found = "".join(words.get_text_bounded(*blank.rect).split())
        wanted = "".join(blank.answer.split()) if answered and not blank.drawn else ""
        if found != wanted:
            yield in_box(blank.name, found, wanted)


def _workbook_ink(page, blanks: list[Asked]) -> Iterator[str]:
    """The page without its boxes must be white where they were, and nowhere red."""
    boxes = [blank for blank in blanks if not blank.drawn]
    _remove(page, [blank.rect for blank in boxes])
    picture = page.render(scale=PIXELS_PER_POINT).to_pil().convert("RGB")
    for blank in boxes:
        if any(low < _WHITE for low, _ in _cut(picture, blank.rect).getextrema()):
            yield f"there is ink in box {blank.name}"
    if _red(picture):
        yield "there is ink in the colour of the answers"


def _answer_ink(page, blanks: list[Asked]) -> Iterator[str]:
    """Where a blank is, ink in the colour of the answers must be."""
    picture = page.render(scale=PIXELS_PER_POINT).to_pil().convert("RGB")
    for blank in blanks:
        if not _red(_cut(picture, blank.rect)):
            yield f"no answer is to be seen in blank {blank.name}"


def _red(picture) -> bool:
    from PIL import ImageChops
    red, green, _ = picture.split()
    return ImageChops.subtract(red, green).getextrema()[1] >= _REDDER


def _cut(picture, rect: Rect):
    """The part of a page's picture that a rectangle in points touches."""
    x0, y0, x1, y1 = (value * PIXELS_PER_POINT for value in rect)
    return picture.crop((floor(x0), floor(picture.height - y1),
                         ceil(x1), ceil(picture.height - y0)))


def _remove(page, rects: list[Rect]) -> None:
    """Take the boxes at ``rects`` from a page in memory: paths that are stroked, not filled."""
    import ctypes
    left = list(rects)
    for index in reversed(range(pdfium.FPDFPage_CountObjects(page))):
        path = pdfium.FPDFPage_GetObject(page, index)
        if pdfium.FPDFPageObj_GetType(path) != pdfium.FPDF_PAGEOBJ_PATH:
            continue
        fill, stroke = ctypes.c_int(), ctypes.c_int()
        pdfium.FPDFPath_GetDrawMode(path, fill, stroke)
        found = [ctypes.c_float() for _ in range(4)]
        pdfium.FPDFPageObj_GetBounds(path, *found)
        for rect in left:
            if not fill.value and stroke.value and all(
                    abs(a.value - b) < _NEAR for a, b in zip(found, rect)):
                left.remove(rect)
                pdfium.FPDFPage_RemoveObject(page, path)
                pdfium.FPDFPageObj_Destroy(path)
                break
