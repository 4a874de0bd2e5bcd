"""Checks rendered pages: text and ink in the blanks.

In: a record, and the bytes of its two PDFs. Out: findings. The pages are rendered by pdfium,
which had no part in writing them.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from contextlib import ExitStack, closing
from math import ceil, floor

import pypdfium2
import pypdfium2.raw as pdfium
from PIL import ImageChops
from PIL.Image import Image
from PIL.Image import new as new_picture
from pypdfium2 import PdfPage

from workbook.pdf.content import Rect
from workbook.preflight.expected import Expected, ExpectedBlank
from workbook.preflight.positions import in_box

PIXELS_PER_POINT = 2.0
_WHITE = 235
"""Grey level of 255: a darker pixel is ink. A line 0.1 points wide renders as 204."""
_ANSWER, _PRINT = 80, 100
"""Grey levels of 255. On the answer key only answers are darker than ``_ANSWER``, because all
else is grey. In the workbook print is darker than ``_PRINT``; the shading of piano keys is not."""
_REDDER = 40
"""Difference of 255: a pixel with this much more red than green has the answers' colour."""
_LARGEST = 3000.0
"""Points: no page that a build writes is as wide or as high."""
_HAIR = 0.05
"""Tolerance of positions in points, for rounding."""

Rendered = Iterator[tuple[bool, int, str]]
"""(whether on the answer key, page, what is wrong)."""


def rendered_faults(record: Expected, workbook: bytes, answer_key: bytes) -> Rendered:
    """What is wrong with the blanks of a workbook and of its answer key."""
    with ExitStack() as stack:
        faces = []
        for answered, data in enumerate((workbook, answer_key)):
            try:
                faces.append(stack.enter_context(closing(pypdfium2.PdfDocument(data))))
            except pypdfium2.PdfiumError:
                yield bool(answered), 0, "it cannot be rendered: the file is damaged"
                return
        for number in range(1, min(map(len, faces)) + 1):
            pages = []
            for answered, face in enumerate(faces):
                try:
                    pages.append(face[number - 1])
                except pypdfium2.PdfiumError:
                    yield bool(answered), number, "the page cannot be rendered: it is damaged"
                    continue
                if max(pages[-1].get_size()) > _LARGEST:
                    yield bool(answered), number, "the page is too large to be rendered"
                    pages.pop()
            if len(pages) == len(faces):
                yield from _page(number, record.on(number), *pages)


def _page(
    number: int, blanks: list[ExpectedBlank], workbook: PdfPage, answer_key: PdfPage
) -> Rendered:
    for answered, page in enumerate((workbook, answer_key)):
        yield from ((bool(answered), number, what) for what in _text(page, blanks, bool(answered)))
    boxes = [blank for blank in blanks if not blank.drawn]
    _remove(workbook, [blank.rect for blank in boxes])
    coloured = workbook.render(scale=PIXELS_PER_POINT).to_pil().convert("RGB")
    if _red(coloured):
        yield False, number, "there is ink in the colour of the answers"
    blank_face = coloured.convert("L")
    answered_face = answer_key.render(scale=PIXELS_PER_POINT, grayscale=True).to_pil()
    for blank in blanks:
        printed, answer = _cut(blank_face, blank.rect), _cut(answered_face, blank.rect)
        if (_darkest(answer) < _ANSWER) != blank.visible:
            shown = "no answer" if blank.visible else "an answer"
            yield True, number, f"{shown} shows in blank {blank.name}"
        elif blank.drawn and blank.visible and _covered(printed, answer) > 0.5:
            yield False, number, f"the answer shows in blank {blank.name}"
        if not blank.drawn and _darkest(printed) < _WHITE:
            yield False, number, f"there is ink in box {blank.name}"


def _text(page: PdfPage, blanks: list[ExpectedBlank], answered: bool) -> Iterator[str]:
    textpage = page.get_textpage()
    for blank in blanks:
        found = "".join(textpage.get_text_bounded(*blank.rect).split())
        wanted = "".join(blank.answer.split()) if answered and not blank.drawn else ""
        if found not in (wanted, _without_astral(wanted)):
            yield in_box(blank.name, found, wanted)


def _without_astral(words: str) -> str:
    """``words`` without what lies beyond the first plane of Unicode, as double sharps do: pdfium
    leaves it out of replacement text. The reader of ``positions`` sees it.
    """
    return "".join(char for char in words if ord(char) < 0x10000)


def _covered(printed: Image, answer: Image) -> float:
    """The share of the answer's ink that the workbook shows, too."""
    ink = answer.point(lambda value: 255 * (value < _ANSWER))
    both = ImageChops.darker(ink, printed.point(lambda value: 255 * (value < _PRINT)))
    return both.histogram()[255] / ink.histogram()[255]


def _red(picture: Image) -> bool:
    red, green, _ = picture.split()
    _, most = ImageChops.subtract(red, green).getextrema()
    return float(most) >= _REDDER  # type: ignore[arg-type]  # of a grey picture


def _darkest(picture: Image) -> float:
    """The lowest value of a grey picture."""
    least, _ = picture.getextrema()
    return float(least)  # type: ignore[arg-type]  # of a grey picture


def _cut(picture: Image, rect: Rect) -> Image:
    """The part of a page's picture inside a rectangle given in points."""
    x0, y0, x1, y1 = (value * PIXELS_PER_POINT for value in rect)
    left, right = max(floor(x0), 0), min(ceil(x1), picture.width)
    top, bottom = max(floor(picture.height - y1), 0), min(ceil(picture.height - y0), picture.height)
    if left >= right or top >= bottom:  # beyond the page
        return new_picture(picture.mode, (1, 1), "white")
    return picture.crop((left, top, right, bottom))


def _remove(page: PdfPage, rects: list[Rect]) -> None:
    """Remove the boxes at ``rects``, forms of a stroked path, from a page in memory."""
    remaining = list(rects)
    for index in reversed(range(pdfium.FPDFPage_CountObjects(page))):
        placed = pdfium.FPDFPage_GetObject(page, index)
        line = _outline(placed)
        if line is None:
            continue
        found = [ctypes.c_float() for _ in range(4)]
        pdfium.FPDFPageObj_GetBounds(placed, *found)
        for rect in remaining:
            # pdfium widens the bounds by up to the line width
            if all(abs(a.value - b) <= line + _HAIR for a, b in zip(found, rect)):
                remaining.remove(rect)
                pdfium.FPDFPage_RemoveObject(page, placed)
                pdfium.FPDFPageObj_Destroy(placed)
                break


def _outline(placed: object) -> float | None:
    """The width in points of the line that a form strokes, if it draws nothing else."""
    if pdfium.FPDFPageObj_GetType(placed) != pdfium.FPDF_PAGEOBJ_FORM:
        return None
    path = pdfium.FPDFFormObj_GetObject(placed, 0)
    if (
        pdfium.FPDFFormObj_CountObjects(placed) != 1
        or pdfium.FPDFPageObj_GetType(path) != pdfium.FPDF_PAGEOBJ_PATH
    ):
        return None
    fill, stroke, width = ctypes.c_int(), ctypes.c_int(), ctypes.c_float()
    pdfium.FPDFPath_GetDrawMode(path, fill, stroke)
    pdfium.FPDFPageObj_GetStrokeWidth(path, width)
    return width.value if stroke.value and not fill.value else None
