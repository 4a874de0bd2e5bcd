"""The objects of any PDF, as they go into a print job.

In: a PDF opened with pikepdf. Out: its objects as bytes, without what does not print.
"""

from __future__ import annotations

import pikepdf

from workbook.pdf.layers import plain_layer
from workbook.pdf.left_behind import is_left_behind, printed_text
from workbook.pdf.limits import UNPACKED, Unfolding, filters, most_of, unfolded
from workbook.pdf.printable_pdf import box, inherited, trim_box
from workbook.pdf.syntax import Key, rectangle, with_data, with_entries

_NOT_PRINTED = {
    "/Metadata",
    "/PieceInfo",
    "/LastModified",
    "/StructParent",
    "/StructParents",
    "/OPI",
    "/Ref",
    "/F",
    "/FFilter",
    "/FDecodeParms",
    "/Length",
}
"""Keys of a stream that print nothing: how it was made, and files elsewhere.

ISO 32000-1, tables 5, 89 and 95. The length is written again.
"""
_BOXES = ("/MediaBox", "/CropBox")
_INHERITED = ("/Rotate", "/Resources")
_OF_THE_PAGE = ("/UserUnit", "/Contents", "/Group")
"""The keys of a page that print (table 30); notes, links, scripts and thumbnails stay behind."""


class FileObjects:
    """The objects of one file, a ``Source``. Raises ValueError or pikepdf.PdfError for damage."""

    def __init__(self, pdf: pikepdf.Pdf):
        self._pdf = pdf
        self._unfolding = Unfolding()

    def object(self, key: Key) -> tuple[bytes, bytes]:
        """The text of an object up to a stream's data, and the rest."""
        value = self._pdf.get_object(key)
        if is_left_behind(value):
            return b"null", b""
        if isinstance(value, pikepdf.Stream):
            entries, data = self.stream(value)
            text = with_entries(printed_text(entries), {"Length": b"%d" % len(data)})
            return text, with_data(b"", data)
        if isinstance(value, pikepdf.Object):
            return printed_text(plain_layer(value)), b""
        # a number, a truth value or null, for which pikepdf has Python's own
        return pikepdf.Array([value]).unparse().strip(b"[] "), b""

    def stream(self, stream: pikepdf.Stream) -> tuple[pikepdf.Dictionary, bytes]:
        """The entries of a stream that print, without its length, and its data as in the file.

        Raises ValueError when the data are compressed and damaged, and Refused when they
        unfold to too much or a filter is unknown.
        """
        entries = {
            key: value for key, value in stream.stream_dict.items() if key not in _NOT_PRINTED
        }
        data = stream.read_raw_bytes()
        names = filters(stream)
        if names[:1] == ["/FlateDecode"]:
            self._unfolding.check(data, most_of(stream))
        if len(names) > 1 and UNPACKED.issuperset(names):
            unfolded(stream)
        return pikepdf.Dictionary(entries), data


def printed_page(page: pikepdf.Page) -> bytes:
    """The entries of ``page`` that print, its own and inherited ones, as a dictionary."""
    found = {key: _box(page, key) for key in _BOXES}
    found["/TrimBox"] = pikepdf.Object.parse(rectangle(*trim_box(page)))
    found |= {key: inherited(page, key) for key in _INHERITED}
    found |= {key: page.obj.get(key) for key in _OF_THE_PAGE}
    kept = {key: value for key, value in found.items() if value is not None}
    return printed_text(pikepdf.Dictionary(kept))


def _box(page: pikepdf.Page, key: str) -> pikepdf.Object | None:
    """A box of a page, its lower left corner first, as readers expect it."""
    value = inherited(page, key)
    if value is None or [float(one) for one in value] == list(box(value)):
        return value
    return pikepdf.Object.parse(rectangle(*box(value)))
