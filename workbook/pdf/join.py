"""Many PDFs to one print job, written as they come: memory holds one file at a time.

In: PDFs, one after the other. Out: one PDF in an open file, with an outline and
page labels, and with nothing of the files but what prints.
"""

from __future__ import annotations

from typing import BinaryIO, NamedTuple

import pikepdf

from workbook.pdf.file_objects import FileObjects, printed_page
from workbook.pdf.finished import FinishedPdf
from workbook.pdf.layers import layer_properties, printed_layers
from workbook.pdf.printable_pdf import Size, page_size
from workbook.pdf.syntax import (
    array,
    dictionary,
    number,
    reference,
    text_string,
    with_entries,
)
from workbook.pdf.writer import Copier, Writer

_LETTER = (612.0, 792.0)


class _Section(NamedTuple):
    """One file in the print job: its name, and the index of its first page there."""

    name: str
    first: int


class Job:
    """One print job, written to ``out``: call ``add`` for each file, then ``finish``.

    ``fronts``: each file begins on a front side, an odd page. ``copies`` of the
    whole are made, one after the other. ``language`` is a language tag (ISO
    32000-1, 14.9.2) or empty.
    """

    _page_name = ""
    _duplex = "DuplexFlipLongEdge"

    def __init__(
        self,
        out: BinaryIO,
        title: str,
        author: str,
        fronts: bool = True,
        copies: int = 1,
        language: str = "en",
    ):
        self._writer = Writer(out)
        self._title, self._author, self._language = title, author, language
        self._fronts, self._copies = fronts, copies
        self._tree = self._writer.reserve()
        self._pages: list[int] = []
        self._texts: list[bytes] = []
        """The pages as written, kept where there will be copies."""
        self._sections: list[_Section] = []
        self._layers: dict[int, bool] = {}
        self._size: Size = _LETTER
        self._sizes: set[Size] = set()

    @property
    def pages(self) -> int:
        return len(self._pages)

    def add(self, pdf: pikepdf.Pdf, name: str) -> None:
        """The pages of any PDF; ``name`` goes into the outline and the page labels.

        Raises ValueError or an error of pikepdf's when the file is damaged.
        """
        self._begin(name)
        copier = self._copier(pdf, FileObjects(pdf))
        for page in pdf.pages:
            self._size = page_size(page)
            self._add_page(copier.text(printed_page(page)))

    def add_finished(self, pdf: FinishedPdf, size: Size, name: str) -> None:
        """The pages, ``size`` points large, of a file that ``pages.render`` wrote just now."""
        self._begin(name)
        self._size = size
        self._sizes.add(size)
        copier = Copier(self._writer, pdf, {pdf.tree: self._tree})
        self._pages += map(copier.copy, pdf.pages)

    def finish(self) -> None:
        """Write the other copies, and what ties the pages together."""
        self._repeat()
        write = self._writer.write
        write(
            dictionary(
                {
                    "Type": b"/Pages",
                    "Count": b"%d" % len(self._pages),
                    "Kids": array(map(reference, self._pages)),
                }
            ),
            self._tree,
        )
        catalog = {
            "Type": b"/Catalog",
            "Pages": reference(self._tree),
            "PageMode": b"/UseOutlines",
            "Outlines": reference(self._outline()),
            "PageLabels": self._labels(),
        }
        if self._language:
            catalog["Lang"] = text_string(self._language)
        preferences = self._preferences()
        if preferences:
            catalog["ViewerPreferences"] = dictionary(preferences)
        if self._layers:
            catalog["OCProperties"] = layer_properties(self._layers)
        info = {
            "Title": text_string(self._title),
            "Author": text_string(self._author),
            "Creator": text_string("workbook"),
        }
        self._writer.close(write(dictionary(catalog)), write(dictionary(info)))

    def _begin(self, name: str) -> None:
        """Begin a section, on a front side if need be."""
        self._to_front()
        self._sections.append(_Section(name, len(self._pages)))

    def _copier(self, pdf: pikepdf.Pdf, objects: FileObjects) -> Copier:
        """What copies ``objects`` of ``pdf``; its layers are copied already.

        Layers alike in all but whether they print stay apart.
        """
        copier = Copier(self._writer, objects)
        for key, shown in printed_layers(pdf).items():
            self._layers[copier.copy(key, b"shown" if shown else b"hidden")] = shown
        return copier

    def _add_page(self, text: bytes) -> None:
        """Write one page of the job; ``text`` is its dictionary without type and parent."""
        text = with_entries(text, {"Type": b"/Page", "Parent": reference(self._tree)})
        if self._copies > 1:
            self._texts.append(text)
        self._pages.append(self._writer.write(text))

    def _to_front(self) -> None:
        if self._fronts and len(self._pages) % 2:
            box = array([b"0.0", b"0.0", *map(number, self._size)])
            self._add_page(dictionary({"Resources": dictionary({}), "MediaBox": box}))

    def _repeat(self) -> None:
        texts, sections = tuple(self._texts), tuple(self._sections)
        for copy in range(2, self._copies + 1):
            self._to_front()
            start = len(self._pages)
            self._sections += [
                _Section(f"{name}, copy {copy}", start + first) for name, first in sections
            ]
            self._pages += map(self._writer.write, texts)

    def _preferences(self) -> dict[str, bytes]:
        """What the print dialog is to propose (ISO 32000-1, table 150)."""
        found = {"Duplex": b"/" + self._duplex.encode("ascii")} if self._fronts else {}
        return found | ({"PickTrayByPDFSize": b"true"} if len(self._sizes) > 1 else {})

    def _outline(self) -> int:
        writer = self._writer
        root = writer.reserve()
        items = [writer.reserve() for _ in self._sections]
        for index, (item, (name, first)) in enumerate(zip(items, self._sections)):
            entry = {
                "Title": text_string(name),
                "Parent": reference(root),
                "Dest": array([reference(self._pages[first]), b"/Fit"]),
            }
            if index:
                entry["Prev"] = reference(items[index - 1])
            if index + 1 < len(items):
                entry["Next"] = reference(items[index + 1])
            writer.write(dictionary(entry), item)
        whole = {"Type": b"/Outlines", "Count": b"%d" % len(items)}
        if items:
            whole |= {"First": reference(items[0]), "Last": reference(items[-1])}
        return writer.write(dictionary(whole), root)

    def _labels(self) -> bytes:
        numbers: list[bytes] = []
        for name, first in self._sections:
            prefix = text_string(f"{name}{self._page_name} ")
            numbers += [b"%d" % first, dictionary({"S": b"/D", "P": prefix})]
        return dictionary({"Nums": array(numbers)})
