"""Many PDFs to one print job, written as they come: memory holds one file at a time.

In: the bytes of PDFs, one after the other. Out: one PDF in an open file. What is
the same in several files (a glyph, a font) goes in once. See ISO 32000-1, 7.5.
"""

from __future__ import annotations

import hashlib
import io
from typing import BinaryIO

from pypdf import PdfReader
from pypdf.generic import (ArrayObject, DictionaryObject, FloatObject, IndirectObject,
                           NameObject, NumberObject, StreamObject, TextStringObject)


class Job:
    """One PDF under writing to ``out``; call ``add`` for each file, then ``finish``."""

    def __init__(self, out: BinaryIO, title: str, author: str, fronts: bool = True):
        self._out, self._title, self._author, self._fronts = out, title, author, fronts
        self._offsets: list[int] = []
        self._same: dict[bytes, int] = {}
        self._tree = self._reserve()
        self._pages: list[int] = []
        self._parts: list[tuple[str, int]] = []
        self._size = (612.0, 792.0)
        out.write(b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n")

    @property
    def pages(self) -> int:
        return len(self._pages)

    def add(self, file: bytes, name: str) -> None:
        """The pages of a PDF; ``name`` goes into the outline and the page labels.

        With ``fronts`` they begin on a front side, an odd page.
        """
        if self._fronts and len(self._pages) % 2:
            self._blank()
        self._parts.append((name, len(self._pages)))
        copied: dict[int, int] = {}
        for page in PdfReader(io.BytesIO(file)).pages:
            self._size = float(page.mediabox.width), float(page.mediabox.height)
            copy = DictionaryObject({key: value for key, value in page.items()
                                     if key not in ("/Parent", "/Trans")})
            for key in ("/Contents", "/Resources", "/Annots"):
                if key in page:
                    copy[NameObject(key)] = self._moved(page.raw_get(key), copied)
            copy[NameObject("/Parent")] = self._reference(self._tree)
            self._pages.append(self._write(copy))

    def finish(self) -> None:
        """Write what ties the pages together."""
        tree = DictionaryObject({
            NameObject("/Type"): NameObject("/Pages"), NameObject("/Count"):
            NumberObject(len(self._pages)), NameObject("/Kids"):
            ArrayObject(map(self._reference, self._pages))})
        self._write(tree, self._tree)
        catalog = DictionaryObject({
            NameObject("/Type"): NameObject("/Catalog"),
            NameObject("/Pages"): self._reference(self._tree),
            NameObject("/Lang"): TextStringObject("en"),
            NameObject("/PageMode"): NameObject("/UseOutlines"),
            NameObject("/Outlines"): self._reference(self._outline()),
            NameObject("/PageLabels"): self._labels()})
        root = self._write(catalog)
        info = self._write(DictionaryObject({
            NameObject("/Title"): TextStringObject(self._title),
            NameObject("/Author"): TextStringObject(self._author),
            NameObject("/Creator"): TextStringObject("workbook")}))
        start = self._out.tell()
        rows = "".join(f"{offset:010d} 00000 n \n" for offset in self._offsets)
        self._out.write(f"xref\n0 {len(self._offsets) + 1}\n0000000000 65535 f \n{rows}"
                        f"trailer\n<< /Size {len(self._offsets) + 1} /Root {root} 0 R "
                        f"/Info {info} 0 R >>\nstartxref\n{start}\n%%EOF\n".encode())

    def _blank(self) -> None:
        self._pages.append(self._write(DictionaryObject({
            NameObject("/Type"): NameObject("/Page"),
            NameObject("/Parent"): self._reference(self._tree),
            NameObject("/Resources"): DictionaryObject(),
            NameObject("/MediaBox"): ArrayObject(map(FloatObject, (0, 0, *self._size)))})))

    def _outline(self) -> int:
        root = self._reserve()
        items = [self._reserve() for _ in self._parts]
        for index, (item, (name, page)) in enumerate(zip(items, self._parts)):
            entry = DictionaryObject({
                NameObject("/Title"): TextStringObject(name),
                NameObject("/Parent"): self._reference(root),
                NameObject("/Dest"): ArrayObject([self._reference(self._pages[page]),
                                                  NameObject("/Fit")])})
            if index:
                entry[NameObject("/Prev")] = self._reference(items[index - 1])
            if index + 1 < len(items):
                entry[NameObject("/Next")] = self._reference(items[index + 1])
            self._write(entry, item)
        whole = DictionaryObject({NameObject("/Type"): NameObject("/Outlines"),
                                  NameObject("/Count"): NumberObject(len(items))})
        if items:
            whole[NameObject("/First")] = self._reference(items[0])
            whole[NameObject("/Last")] = self._reference(items[-1])
        self._write(whole, root)
        return root

    def _labels(self) -> DictionaryObject:
        numbers = ArrayObject()
        for name, page in self._parts:
            numbers += [NumberObject(page), DictionaryObject({
                NameObject("/S"): NameObject("/D"),
                NameObject("/P"): TextStringObject(f"{name} ")})]
        return DictionaryObject({NameObject("/Nums"): numbers})

    def _moved(self, value, copied: dict[int, int]):
        """``value`` with everything it refers to written here."""
        if isinstance(value, IndirectObject):
            if value.idnum not in copied:
                copied[value.idnum] = self._copy(value.get_object(), copied)
            return self._reference(copied[value.idnum])
        if isinstance(value, StreamObject | DictionaryObject):
            for key in list(value):
                value[NameObject(key)] = self._moved(value.raw_get(key), copied)
        elif isinstance(value, ArrayObject):
            return ArrayObject(self._moved(one, copied) for one in value)
        return value

    def _copy(self, value, copied: dict[int, int]) -> int:
        moved = self._moved(value, copied)
        if not isinstance(moved, StreamObject):
            return self._write(moved)
        text = io.BytesIO()
        moved.write_to_stream(text)
        digest = hashlib.sha256(text.getvalue()).digest()
        if digest not in self._same:
            self._same[digest] = self._write(moved)
        return self._same[digest]

    def _reference(self, number: int) -> IndirectObject:
        return IndirectObject(number, 0, self)

    def _reserve(self) -> int:
        self._offsets.append(0)
        return len(self._offsets)

    def _write(self, value, number: int | None = None) -> int:
        number = number or self._reserve()
        self._offsets[number - 1] = self._out.tell()
        self._out.write(b"%d 0 obj\n" % number)
        value.write_to_stream(self._out)
        self._out.write(b"\nendobj\n")
        return number
