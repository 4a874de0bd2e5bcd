"""Many PDFs to one print job, written as they come: memory holds one file at a time.

In: PDFs, one after the other. Out: one PDF in an open file, with an outline and
page labels, and with nothing of the files but what prints, and their structure: each file is a
part of the whole.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import BinaryIO, NamedTuple, cast

import pikepdf

from workbook.pdf.file_objects import FileObjects, printed_page
from workbook.pdf.finished import FinishedPdf
from workbook.pdf.layers import layer_properties, printed_layers
from workbook.pdf.metadata import PROGRAM, About, xmp
from workbook.pdf.printable_pdf import Size, page_size
from workbook.pdf.structure import Structure, tree_root
from workbook.pdf.syntax import (
    Key,
    References,
    array,
    dictionary,
    number,
    reference,
    renumbered,
    short_string,
    text_string,
    with_entries,
)
from workbook.pdf.tagged_file import language_of, structure_of
from workbook.pdf.writer import Copier, Writer

_LETTER = (612.0, 792.0)
_PARENTS = re.compile(rb"/StructParents \d+")
_DOCUMENT = b"<</S/Document"


class _Section(NamedTuple):
    """One file in the print job: its name, and the index of its first page there."""

    name: str
    first: int


class File(NamedTuple):
    """One file as it goes into a job, once for each copy: the texts of its pages without type
    and parent, the size of the last, its structure and language.
    """

    name: str
    texts: list[bytes]
    size: Size
    structure: Structure | None
    language: str


class JobStructure:
    """The structure of a job: a part for each file, all within one document."""

    def __init__(self, writer: Writer):
        self._writer = writer
        self._document = 0
        self._parts: list[int] = []
        self._parents: list[int] = []
        """For each page the number of the array of the parts of its content."""

    @property
    def next_key(self) -> int:
        """The key in the parent tree of the first page of the file that is added next."""
        return len(self._parents)

    def add(
        self,
        found: Structure,
        name: str,
        language: str,
        pages: Sequence[int],
        forms: Sequence[int] = (),
    ) -> None:
        """Write the structure of a file whose pages have become ``pages``, or ``forms`` that are
        drawn on these.
        """
        writer = self._writer
        self._document = self._document or writer.reserve()
        found.document.title, found.document.language = name, language
        first = writer.reserve()
        texts = found.elements(first, self._document, pages, forms)
        for given, text in zip([first, *(writer.reserve() for _ in texts[1:])], texts):
            writer.pack(text, given)
        self._parts.append(first)
        self._parents += map(writer.pack, found.parents())

    def copy(self, pdf: FinishedPdf, pages: Sequence[int], name: str) -> None:
        """Copy the structure of a file whose pages have become ``pages``."""
        writer = self._writer
        self._document = self._document or writer.reserve()
        first, texts, parents = pdf.parts()
        new = dict(zip(pdf.pages, pages))
        new[cast(Key, pdf.structure)] = self._document
        numbers = [writer.reserve() for _ in texts]
        new |= {(first + index, 0): number for index, number in enumerate(numbers)}
        part = b"<</S/Part/T" + short_string(name)
        texts[0] = part + texts[0].removeprefix(_DOCUMENT)
        # all at once, which is several times as fast; no part has a line end in it
        whole = b"\n".join([*texts, *parents])
        lines = renumbered(whole, References(new.__getitem__)).split(b"\n")
        for given, text in zip(numbers, lines):
            writer.pack(text, given)
        self._parts.append(numbers[0])
        self._parents += map(writer.pack, lines[len(texts) :])

    def finish(self) -> int:
        """Write what ties the parts together; returns the number of the tree's root."""
        writer = self._writer
        root = writer.reserve()
        kids = array(map(reference, self._parts))
        writer.pack(b"%b/P %d 0 R/K%b>>" % (_DOCUMENT, root, kids), self._document)
        return writer.pack(tree_root(self._document, list(map(reference, self._parents))), root)


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
        self._files: list[File] = []
        """The files, kept where there will be copies."""
        self._sections: list[_Section] = []
        self._structure = JobStructure(self._writer)
        self._all_tagged = True
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
        copier = self._copier(pdf, FileObjects(pdf))
        texts = [copier.text(printed_page(page)) for page in pdf.pages]
        file = File(name, texts, page_size(pdf.pages[-1]), structure_of(pdf), language_of(pdf))
        self._add_file(file, name)
        if self._copies > 1:
            self._files.append(file)

    def _add_file(self, file: File, name: str) -> None:
        self._begin(name)
        first = len(self._pages)
        for index, text in enumerate(file.texts):
            tagged = file.structure is not None
            self._add_page(text, self._structure.next_key + index if tagged else None)
        self._size = file.size
        self._add_structure(file.structure, name, file.language, self._pages[first:])

    def _add_structure(
        self,
        found: Structure | None,
        name: str,
        language: str,
        pages: Sequence[int],
        forms: Sequence[int] = (),
    ) -> None:
        if found is None:
            self._all_tagged = False
        else:
            differs = language if language != self._language else ""
            self._structure.add(found, name, differs, pages, forms)

    def add_finished(self, pdf: FinishedPdf, size: Size, name: str) -> None:
        """The pages, ``size`` points large, of a file that ``pages.render`` wrote just now."""
        self._begin(name)
        self._size = size
        self._sizes.add(size)
        copier = Copier(self._writer, pdf, {pdf.tree: self._tree}, packed=True)
        first, pages = self._structure.next_key, list[int]()
        for index, key in enumerate(pdf.pages):
            text = copier.text(pdf.object(key)[0])
            found = b"/StructParents %d" % (first + index) if pdf.structure else b""
            pages.append(self._writer.pack(_PARENTS.sub(found, text)))
        self._pages += pages
        if pdf.structure:
            self._structure.copy(pdf, pages, name)
        else:
            self._all_tagged = False

    def finish(self, title: str = "", subject: str = "") -> None:
        """Write the other copies, and what ties the pages together.

        ``title`` says what the job holds, if that was not known before.
        """
        about = About(title or self._title, self._author, subject, self._language)
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
        catalog["ViewerPreferences"] = dictionary(self._preferences())
        catalog["Metadata"] = reference(write(xmp(about)))
        if self._structure.next_key:
            catalog["StructTreeRoot"] = reference(self._structure.finish())
            if self._all_tagged:
                catalog["MarkInfo"] = dictionary({"Marked": b"true"})
        if self._layers:
            catalog["OCProperties"] = layer_properties(self._layers)
        info = {
            "Title": text_string(about.title),
            "Author": text_string(about.author),
            "Creator": text_string(PROGRAM),
            "Producer": text_string(about.producer),
        }
        if subject:
            info["Subject"] = text_string(subject)
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

    def _add_page(self, text: bytes, key: int | None = None) -> None:
        """Write one page of the job; ``text`` is its dictionary without type and parent, ``key``
        its key in the parent tree.
        """
        entries = {"Type": b"/Page", "Parent": reference(self._tree)}
        if key is not None:
            entries["StructParents"] = b"%d" % key
        self._pages.append(self._writer.write(with_entries(text, entries)))

    def _to_front(self) -> None:
        if self._fronts and len(self._pages) % 2:
            box = array([b"0.0", b"0.0", *map(number, self._size)])
            boxes = {"MediaBox": box, "TrimBox": box}
            self._add_page(dictionary({"Resources": dictionary({}), **boxes}))

    def _repeat(self) -> None:
        for copy in range(2, self._copies + 1):
            for file in self._files:
                self._add_file(file, f"{file.name}, copy {copy}")

    def _preferences(self) -> dict[str, bytes]:
        """What the print dialog is to propose (ISO 32000-1, table 150)."""
        found = {"DisplayDocTitle": b"true"}
        if self._fronts:
            found["Duplex"] = b"/" + self._duplex.encode("ascii")
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
