"""Many PDFs to one print job, written as they come: memory holds one file at a time.

In: PDFs, one after the other. Out: one PDF in an open file, with an outline and
page labels, and with nothing of the files but what prints.
"""

from __future__ import annotations

from typing import BinaryIO

from pypdf import PdfReader
from pypdf.generic import (
    ArrayObject,
    DictionaryObject,
    FloatObject,
    NameObject,
    NumberObject,
    TextStringObject,
)

from workbook.pdf.objects import Objects
from workbook.pdf.parts import Parts

_PRINTED = ("/MediaBox", "/CropBox", "/Rotate", "/UserUnit", "/Resources", "/Contents", "/Group")
"""The keys of a page that print; notes, links, scripts and thumbnails stay behind."""


class Job:
    """One print job under writing to ``out``: call ``add`` for each file, then ``finish``.

    ``fronts``: each file begins on a front side, an odd page. ``copies`` of the
    whole are made, one after the other. ``language`` is a language tag (ISO
    32000-1, 14.9.2) or empty.
    """

    _unit = ""
    _duplex = "/DuplexFlipLongEdge"

    def __init__(
        self,
        out: BinaryIO,
        title: str,
        author: str,
        fronts: bool = True,
        copies: int = 1,
        language: str = "en",
    ):
        self._objects = Objects(out)
        self._title, self._author, self._language = title, author, language
        self._fronts, self._copies = fronts, copies
        self._tree = self._objects.reserve()
        self._sides: list[int] = []
        self._kept: list[DictionaryObject] = []
        self._parts: list[tuple[str, int]] = []
        self._size = (612.0, 792.0)

    @property
    def pages(self) -> int:
        return len(self._sides)

    def add(self, file: PdfReader, name: str) -> None:
        """The pages of any PDF; ``name`` goes into the outline and the page labels.

        Raises ValueError or an error of pypdf's when the file is damaged.
        """
        self._begin(name)
        seen: dict[int, int] = {}
        for page in file.pages:
            self._size = float(page.mediabox.width), float(page.mediabox.height)
            self._side(
                DictionaryObject(
                    {
                        NameObject(key): self._objects.copied(page.raw_get(key), seen)
                        for key in _PRINTED
                        if key in page
                    }
                )
            )

    def add_book(self, parts: Parts, size: tuple[float, float], name: str) -> None:
        """The pages, ``size`` points large, of a file that ``assemble`` wrote just now."""
        self._begin(name)
        self._size = size
        seen = {parts.tree: self._tree}
        self._sides += [self._objects.part(parts, page, seen) for page in parts.pages]

    def finish(self) -> None:
        """Write the other copies, and what ties the pages together."""
        self._repeat()
        write, reference = self._objects.write, self._objects.reference
        write(
            DictionaryObject(
                {
                    NameObject("/Type"): NameObject("/Pages"),
                    NameObject("/Count"): NumberObject(len(self._sides)),
                    NameObject("/Kids"): ArrayObject(map(reference, self._sides)),
                }
            ),
            self._tree,
        )
        catalog = DictionaryObject(
            {
                NameObject("/Type"): NameObject("/Catalog"),
                NameObject("/Pages"): reference(self._tree),
                NameObject("/PageMode"): NameObject("/UseOutlines"),
                NameObject("/Outlines"): reference(self._outline()),
                NameObject("/PageLabels"): self._labels(),
            }
        )
        if self._language:
            catalog[NameObject("/Lang")] = TextStringObject(self._language)
        wishes = self._wishes()
        if wishes:
            catalog[NameObject("/ViewerPreferences")] = wishes
        info = DictionaryObject(
            {
                NameObject("/Title"): TextStringObject(self._title),
                NameObject("/Author"): TextStringObject(self._author),
                NameObject("/Creator"): TextStringObject("workbook"),
            }
        )
        self._objects.close(write(catalog), write(info))

    def _begin(self, name: str) -> None:
        """A new part of the outline, on a front side if need be."""
        self._to_front()
        self._parts.append((name, len(self._sides)))

    def _side(self, page: DictionaryObject) -> None:
        """Write one page of the job, a printed side; ``page`` has all but type and parent."""
        page[NameObject("/Type")] = NameObject("/Page")
        page[NameObject("/Parent")] = self._objects.reference(self._tree)
        if self._copies > 1:
            self._kept.append(page)
        self._sides.append(self._objects.write(page))

    def _to_front(self) -> None:
        if self._fronts and len(self._sides) % 2:
            self._side(
                DictionaryObject(
                    {
                        NameObject("/Resources"): DictionaryObject(),
                        NameObject("/MediaBox"): ArrayObject(map(FloatObject, (0, 0, *self._size))),
                    }
                )
            )

    def _repeat(self) -> None:
        sides, parts = tuple(self._kept), tuple(self._parts)
        for copy in range(2, self._copies + 1):
            self._to_front()
            start = len(self._sides)
            self._parts += [(f"{name}, copy {copy}", start + at) for name, at in parts]
            self._sides += map(self._objects.write, sides)

    def _wishes(self) -> DictionaryObject:
        """What the print dialog is to propose (ISO 32000-1, table 150)."""
        if not self._fronts:
            return DictionaryObject()
        return DictionaryObject({NameObject("/Duplex"): NameObject(self._duplex)})

    def _outline(self) -> int:
        write, reference = self._objects.write, self._objects.reference
        root = self._objects.reserve()
        items = [self._objects.reserve() for _ in self._parts]
        for index, (item, (name, side)) in enumerate(zip(items, self._parts)):
            entry = DictionaryObject(
                {
                    NameObject("/Title"): TextStringObject(name),
                    NameObject("/Parent"): reference(root),
                    NameObject("/Dest"): ArrayObject(
                        [reference(self._sides[side]), NameObject("/Fit")]
                    ),
                }
            )
            if index:
                entry[NameObject("/Prev")] = reference(items[index - 1])
            if index + 1 < len(items):
                entry[NameObject("/Next")] = reference(items[index + 1])
            write(entry, item)
        whole = DictionaryObject(
            {
                NameObject("/Type"): NameObject("/Outlines"),
                NameObject("/Count"): NumberObject(len(items)),
            }
        )
        if items:
            whole[NameObject("/First")] = reference(items[0])
            whole[NameObject("/Last")] = reference(items[-1])
        return write(whole, root)

    def _labels(self) -> DictionaryObject:
        numbers = ArrayObject()
        for name, side in self._parts:
            numbers += [
                NumberObject(side),
                DictionaryObject(
                    {
                        NameObject("/S"): NameObject("/D"),
                        NameObject("/P"): TextStringObject(f"{name}{self._unit} "),
                    }
                ),
            ]
        return DictionaryObject({NameObject("/Nums"): numbers})
