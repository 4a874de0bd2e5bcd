"""The objects of any PDF, as they go into a print job.

In: a PDF opened with pikepdf. Out: its objects as bytes, without what does not print.
"""

from __future__ import annotations

import zlib

import pikepdf

from workbook.pdf.printable_pdf import inherited
from workbook.pdf.syntax import Key, with_data, with_entries

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

ISO 32000-1, tables 5, 89 and 95. The length is written anew.
"""
_INHERITED = ("/MediaBox", "/CropBox", "/Rotate", "/Resources")
_OF_THE_PAGE = ("/UserUnit", "/Contents", "/Group")
"""The keys of a page that print (table 30); notes, links, scripts and thumbnails stay behind."""
_AT_A_TIME = 1 << 20


class FileObjects:
    """The objects of one file, a ``Source``. Raises ValueError or pikepdf.PdfError for damage."""

    def __init__(self, pdf: pikepdf.Pdf):
        self._pdf = pdf

    def object(self, key: Key) -> tuple[bytes, bytes]:
        """The text of an object up to a stream's data, and the rest."""
        value = self._pdf.get_object(key)
        if isinstance(value, pikepdf.Stream):
            entries, data = printed_stream(value)
            text = with_entries(entries.unparse(), {"Length": b"%d" % len(data)})
            return text, with_data(b"", data)
        if isinstance(value, pikepdf.Object):
            return value.unparse(resolved=True), b""
        # a number, a truth value or null, for which pikepdf has Python's own
        return pikepdf.Array([value]).unparse().strip(b"[] "), b""


def printed_page(page: pikepdf.Page) -> bytes:
    """The entries of ``page`` that print, its own and inherited ones, as a dictionary."""
    found = {key: inherited(page, key) for key in _INHERITED}
    found |= {key: page.obj.get(key) for key in _OF_THE_PAGE}
    kept = {key: value for key, value in found.items() if value is not None}
    return pikepdf.Dictionary(kept).unparse()


def printed_stream(stream: pikepdf.Stream) -> tuple[pikepdf.Dictionary, bytes]:
    """The entries of a stream that print, without its length, and its data as in the file.

    Raises ValueError when the data are compressed and damaged.
    """
    entries = {key: value for key, value in stream.stream_dict.items() if key not in _NOT_PRINTED}
    data = stream.read_raw_bytes()
    filters = entries.get("/Filter")
    first = filters[0] if isinstance(filters, pikepdf.Array) and len(filters) else filters
    if first == pikepdf.Name.FlateDecode:
        _check(data)
    return pikepdf.Dictionary(entries), data


def _check(data: bytes) -> None:
    """Decompress ``data`` a piece at a time. Raises ValueError when it is damaged."""
    decompressor, rest = zlib.decompressobj(), data
    try:
        while rest and not decompressor.eof:
            decompressor.decompress(rest, _AT_A_TIME)
            rest = decompressor.unconsumed_tail
    except zlib.error as error:
        raise ValueError(f"damaged data: {error}") from None
