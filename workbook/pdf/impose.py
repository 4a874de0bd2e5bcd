"""Booklets: two pages to a side, in the order that folded sheets need.

In: PDFs, one a booklet. Out: a print job of landscape sheets. The sheets of a
booklet lie in one another, folded in the middle and stitched through the fold
(saddle-stitched). A page goes in once, as a Form XObject (ISO 32000-1, 8.10),
and is drawn with one ``cm``.
"""

from __future__ import annotations

import zlib
from typing import BinaryIO

from pypdf import PageObject, PdfReader
from pypdf.generic import (
    ArrayObject,
    BooleanObject,
    DictionaryObject,
    FloatObject,
    NameObject,
    StreamObject,
)

from workbook.pdf.join import Job
from workbook.pdf.printable_pdf import Size, seen_box, seen_size, turn, unit

SHEETS: dict[str, Size] = {
    "letter": (792.0, 612.0),
    "a4": (841.89, 595.276),
    "tabloid": (1224.0, 792.0),
    "a3": (1190.551, 841.89),
}
"""Width and height in points of the sheets, lying on their side: 11 by 8.5 and 17 by 11
inches, 297 by 210 and 420 by 297 mm (ISO 216)."""

CLOSE = 1.0
"""Points within which two sizes are taken for the same: programs round them."""


def order(pages: int) -> list[tuple[int | None, int | None]]:
    """The page on the left and the page on the right of each side, front and back in turn.

    Pages count from 1; None is a blank, at the end, to make up a multiple of
    four. The outermost sheet comes first. Behind a page lies the one that
    follows it when the sheet is turned over like the page of a book, over its
    short edge. Source: the manual of psbook (psutils) for multiples of four and
    short-edge duplex; that of Perl's PDF::Imposition::Schema2up draws the order.

    >>> order(6)
    [(None, 1), (2, None), (6, 3), (4, 5)]
    """
    total = pages + -pages % 4
    sides = []
    for front in range(1, total // 2, 2):
        sides += [(total + 1 - front, front), (front + 1, total - front)]
    return [tuple(page if page <= pages else None for page in side) for side in sides]


def scale(page: Size, sheet: Size) -> float:
    """By how much a page of that size must shrink for half a sheet; 1 where it fits."""
    width, height = sheet[0] / 2, sheet[1]
    if page[0] <= width + CLOSE and page[1] <= height + CLOSE:
        return 1.0
    return min(width / page[0], height / page[1])


class Booklets(Job):
    """A print job in which each file is a booklet of its own; see ``Job``.

    ``sheet`` is the sheet's size in points, lying on its side. To be printed on
    both sides, turned over the short edge: all sides then stand upright.
    """

    _unit = ", side"
    _duplex = "/DuplexFlipShortEdge"

    def __init__(
        self,
        out: BinaryIO,
        title: str,
        author: str,
        sheet: Size,
        copies: int = 1,
        language: str = "en",
    ):
        super().__init__(out, title, author, True, copies, language)
        self._size = sheet

    def add(self, file: PdfReader, name: str) -> None:
        """One booklet of the pages of a PDF; raises as ``Job.add`` does."""
        self._begin(name)
        pages = list(file.pages)
        seen: dict[int, int] = {}
        forms = [self._form(page, seen) for page in pages]
        for places in order(len(pages)):
            drawn, named = [], DictionaryObject()
            for half, number in enumerate(places):
                if number is None or forms[number - 1] is None:
                    continue
                drawn.append(f"q {self._place(pages[number - 1], half)} cm /P{number} Do Q\n")
                named[NameObject(f"/P{number}")] = self._objects.reference(forms[number - 1])
            content = StreamObject()
            content.set_data("".join(drawn).encode("ascii"))
            self._side(
                DictionaryObject(
                    {
                        NameObject("/MediaBox"): ArrayObject(map(FloatObject, (0, 0, *self._size))),
                        NameObject("/Resources"): DictionaryObject({NameObject("/XObject"): named}),
                        NameObject("/Contents"): self._objects.reference(
                            self._objects.once(content)
                        ),
                    }
                )
            )

    def _wishes(self) -> DictionaryObject:
        wishes = super()._wishes()
        wishes[NameObject("/PrintScaling")] = NameObject("/None")
        return wishes

    def _form(self, page: PageObject, seen: dict[int, int]) -> int | None:
        """The number of the form that ``page`` becomes; None for a page with nothing on it."""
        content = _found(page.get("/Contents"))
        if not isinstance(content, StreamObject | ArrayObject):
            return None
        form = self._content(content, seen)
        form.update(
            {
                NameObject("/Type"): NameObject("/XObject"),
                NameObject("/Subtype"): NameObject("/Form"),
                NameObject("/BBox"): ArrayObject(map(FloatObject, seen_box(page))),
                NameObject("/Resources"): self._objects.copied(
                    page.raw_get("/Resources") if "/Resources" in page else DictionaryObject(), seen
                ),
            }
        )
        if "/Group" in page:
            group = self._objects.copied(page["/Group"], seen)
            group[NameObject("/I")] = BooleanObject(True)  # as a page's always is: 11.4.7
            form[NameObject("/Group")] = group
        return self._objects.once(form)

    def _content(self, content: StreamObject | ArrayObject, seen: dict[int, int]) -> StreamObject:
        """What a page draws, as one stream; as it is where it is one and compressed."""
        if isinstance(content, StreamObject) and "/Filter" in content:
            return self._objects.copied(content, seen)
        parts = [content] if isinstance(content, StreamObject) else map(_found, content)
        form = StreamObject()
        form[NameObject("/Filter")] = NameObject("/FlateDecode")
        form.set_data(
            zlib.compress(
                b"\n".join(part.get_data() for part in parts if isinstance(part, StreamObject)), 9
            )
        )
        return form

    def _place(self, page: PageObject, half: int) -> str:
        """The matrix that puts ``page`` into the middle of the left (0) or right (1) half."""
        width, height = seen_size(page)
        by = scale((width, height), self._size)
        left = self._size[0] / 2 * half + (self._size[0] / 2 - width * by) / 2
        bottom = (self._size[1] - height * by) / 2
        x0, y0, x1, y1 = seen_box(page)
        # turned clockwise as the page says, its lower left corner at the origin
        a, b, c, d, e, f = {
            0: (1, 0, 0, 1, -x0, -y0),
            90: (0, -1, 1, 0, -y0, x1),
            180: (-1, 0, 0, -1, x1, y1),
            270: (0, 1, -1, 0, y1, -x0),
        }[turn(page)]
        by *= unit(page)
        return " ".join(
            _number(value)
            for value in (a * by, b * by, c * by, d * by, e * by + left, f * by + bottom)
        )


def _found(value):
    return value if value is None else value.get_object()


def _number(value: float) -> str:
    return f"{round(value, 6) + 0.0:.6f}".rstrip("0").rstrip(".")  # + 0.0: no minus nought
