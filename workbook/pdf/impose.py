"""Booklets: two pages to a side, in the order that folded sheets need.

In: PDFs, one for each booklet. Out: a print job of landscape sheets. The sheets of a
booklet lie inside one another, folded in the middle and stitched through the fold
(saddle-stitched). A page goes in once, as a Form XObject (ISO 32000-1, 8.10), and
is drawn with one ``cm``. The structure of a file is kept if there is one copy of it.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from typing import BinaryIO

import pikepdf

from workbook.pdf.file_objects import FileObjects
from workbook.pdf.join import File, Job
from workbook.pdf.left_behind import printed_text
from workbook.pdf.printable_pdf import (
    Size,
    inherited,
    page_size,
    printed_box,
    rotation,
    user_unit,
)
from workbook.pdf.syntax import (
    decoded,
    dictionary,
    number,
    rectangle,
    reference,
    stream,
    with_data,
    with_entries,
)
from workbook.pdf.tagged_file import language_of, structure_of
from workbook.pdf.writer import Copier

SHEETS: dict[str, Size] = {
    "letter": (792.0, 612.0),
    "a4": (841.89, 595.276),
    "tabloid": (1224.0, 792.0),
    "a3": (1190.551, 841.89),
}
"""Width and height in points of the sheets, lying on their side: 11 by 8.5 and 17 by 11
inches, 297 by 210 and 420 by 297 mm (ISO 216)."""

HALVES: dict[str, Size] = {"letter": (396.0, 612.0), "a4": (419.528, 595.276)}
"""Width and height of pages of which two fit a sheet side by side at full size."""

CLOSE = 1.0
"""Points by which two equal sizes may differ: programs round them."""


def order(pages: int) -> list[tuple[int | None, int | None]]:
    """The page on the left and the page on the right of each side, front and back in turn.

    Pages count from 1; None is a blank, added at the end to make up a multiple of
    four. The outermost sheet comes first. The page that follows another is on its
    back when the sheet is turned over its short edge, like the page of a book.
    Source: the manual of psbook (psutils) for multiples of four and short-edge
    duplex; that of Perl's PDF::Imposition::Schema2up draws the order.

    >>> order(6)
    [(None, 1), (2, None), (6, 3), (4, 5)]
    """
    total = pages + -pages % 4
    sides = []
    for front in range(1, total // 2, 2):
        sides += [(total + 1 - front, front), (front + 1, total - front)]
    return [
        (left if left <= pages else None, right if right <= pages else None)
        for left, right in sides
    ]


def scale(page: Size, sheet: Size) -> float:
    """The factor that makes a page of that size fit half a sheet; 1 where it fits already."""
    width, height = sheet[0] / 2, sheet[1]
    if page[0] <= width + CLOSE and page[1] <= height + CLOSE:
        return 1.0
    return min(width / page[0], height / page[1])


class Booklets(Job):
    """A print job in which each file is a booklet of its own; see ``Job``.

    ``sheet`` is the sheet's size in points, lying on its side. It is printed on
    both sides and turned over its short edge: all sides then stand upright.
    """

    _page_name = ", side"
    _duplex = "DuplexFlipShortEdge"

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

    def add(self, pdf: pikepdf.Pdf, name: str) -> None:
        """One booklet of the pages of a PDF; raises as ``Job.add`` does."""
        objects = FileObjects(pdf)
        copier, pages = self._copier(pdf, objects), list(pdf.pages)
        # a form that is drawn in several copies has no place in a structure (ISO 14289-1, 7.20)
        found = structure_of(pdf) if self._copies == 1 else None
        if found and not all(map(_has_content, pages)):
            found = None
        first = self._structure.next_key
        forms = [
            self._form(page, objects, copier, key if found else None)
            for key, page in enumerate(pages, first)
        ]
        sides = order(len(pages))
        texts = [self._side(side, forms, pages) for side in sides]
        file = File(name, texts, self._size, None, language_of(pdf))
        self._begin(name)
        start = len(self._pages)
        for text in texts:
            self._add_page(text)
        if self._copies > 1:
            self._files.append(file)
        drawn_on = {count: start + n for n, side in enumerate(sides) for count in side if count}
        on = [self._pages[drawn_on[count]] for count in range(1, len(pages) + 1)]
        self._add_structure(found, name, file.language, on, [form or 0 for form in forms])

    def _side(
        self,
        side: tuple[int | None, int | None],
        forms: Sequence[int | None],
        pages: Sequence[pikepdf.Page],
    ) -> bytes:
        """The text of a side of a sheet, without type and parent."""
        drawn, named = b"", {}
        for half, count in enumerate(side):
            form = forms[count - 1] if count else None
            if count and form:
                drawn += b"q %b cm /P%d Do Q\n" % (self._matrix(pages[count - 1], half), count)
                named[f"P{count}"] = reference(form)
        content = self._writer.once(stream({}, drawn))
        return dictionary(
            {
                "MediaBox": rectangle(0, 0, *self._size),
                "TrimBox": rectangle(0, 0, *self._size),
                "Resources": dictionary({"XObject": dictionary(named)}),
                "Contents": reference(content),
            }
        )

    def _preferences(self) -> dict[str, bytes]:
        return {**super()._preferences(), "PrintScaling": b"/None"}

    def _form(
        self, page: pikepdf.Page, objects: FileObjects, copier: Copier, key: int | None
    ) -> int | None:
        """The number of the form that ``page`` becomes, with ``key`` in the parent tree; None for
        a page with nothing on it.
        """
        if not _has_content(page):
            return None
        entries, data = _one_stream(page.obj.Contents, objects)
        resources = inherited(page, "/Resources")
        entries["/Type"] = pikepdf.Name.XObject
        entries["/Subtype"] = pikepdf.Name.Form
        entries["/Resources"] = pikepdf.Dictionary() if resources is None else resources
        if "/Group" in page.obj:
            group = pikepdf.Dictionary(dict(page.obj["/Group"].items()))
            group["/I"] = True  # as that of a page always is: 11.4.7
            entries["/Group"] = group
        more = {"BBox": rectangle(*printed_box(page)), "Length": b"%d" % len(data)}
        if key is not None:
            more["StructParents"] = b"%d" % key
        head = with_entries(copier.text(printed_text(entries)), more)
        return self._writer.once(with_data(head, data))

    def _matrix(self, page: pikepdf.Page, half: int) -> bytes:
        """What puts ``page`` into the middle of the left (0) or right (1) half."""
        width, height = page_size(page)
        by = scale((width, height), self._size)
        left = self._size[0] / 2 * half + (self._size[0] / 2 - width * by) / 2
        bottom = (self._size[1] - height * by) / 2
        x0, y0, x1, y1 = printed_box(page)
        # rotated clockwise as the page is shown, its lower left corner at the origin
        a, b, c, d, e, f = {
            0: (1, 0, 0, 1, -x0, -y0),
            90: (0, -1, 1, 0, -y0, x1),
            180: (-1, 0, 0, -1, x1, y1),
            270: (0, 1, -1, 0, y1, -x0),
        }[rotation(page)]
        by *= user_unit(page)
        return b" ".join(
            map(number, (a * by, b * by, c * by, d * by, e * by + left, f * by + bottom))
        )


def _has_content(page: pikepdf.Page) -> bool:
    return isinstance(page.obj.get("/Contents"), pikepdf.Stream | pikepdf.Array)


def _one_stream(content: pikepdf.Object, objects: FileObjects) -> tuple[pikepdf.Dictionary, bytes]:
    """What a page draws, as one stream: as it is if it is one and encoded, else compressed."""
    if isinstance(content, pikepdf.Stream) and "/Filter" in content:
        return objects.stream(content)
    data = zlib.compress(decoded(content), 9)
    return pikepdf.Dictionary(Filter=pikepdf.Name.FlateDecode), data
