"""How far a PDF may unfold: a small file can hold gigabytes of compressed zeros.

In: streams of any PDF. Out: their data, or a ``Refused`` that says why not. qpdf keeps
limits for the whole process; they are set here, before the first PDF is opened, unless another
part of the program has set them already. See ISO 32000-1, 7.4 (filters).
"""

from __future__ import annotations

import zlib

import pikepdf

MOST_READ = 100_000_000
"""Bytes of one stream, or of what one page draws, that are held in memory."""
MOST_COPIED = 4_000_000_000
"""Bytes that the compressed data of one file may unfold to, though never held in memory: a
hundred scanned pages in colour are 3 GB."""
_MOST_LZW = 200_000
"""Bytes of LZW data, which qpdf does not limit. They unfold to 1300 times as much at most:
a code of 12 bits stands for up to 3838 bytes, 1900 on average."""
_AT_A_TIME = 1 << 20

FILTERS = frozenset(
    f"/{name}"
    for name in (
        "ASCIIHexDecode",
        "ASCII85Decode",
        "LZWDecode",
        "FlateDecode",
        "RunLengthDecode",
        "CCITTFaxDecode",
        "JBIG2Decode",
        "DCTDecode",
        "JPXDecode",
        "Crypt",
    )
)
"""ISO 32000-1, table 6."""
UNPACKED = frozenset(("/ASCIIHexDecode", "/ASCII85Decode", "/FlateDecode", "/RunLengthDecode"))
"""Those that are undone here to see how much data there is."""

DAMAGE = (
    pikepdf.PdfError,
    pikepdf.PasswordError,
    ValueError,
    LookupError,
    TypeError,
    AttributeError,
    ArithmeticError,
    RuntimeError,
)
"""What pikepdf raises, or what it gives leads to, where a file is not what it claims to be."""


class Refused(ValueError):
    """Something in a PDF that is not read or printed; the text says what, for the teacher."""


class TooMuch(Refused):
    """A stream unfolds to more than is read."""

    def __init__(self) -> None:
        super().__init__("a small part of it unfolds to far more data than a page needs")


def _set_limits() -> None:
    current = pikepdf.settings.get_qpdf_limits()
    pikepdf.settings.set_qpdf_limits(
        flate_max_memory=current["flate_max_memory"] or MOST_READ,
        png_max_memory=current["png_max_memory"] or MOST_READ,
        tiff_max_memory=current["tiff_max_memory"] or MOST_READ,
        run_length_max_memory=current["run_length_max_memory"] or MOST_READ,
    )


_set_limits()


def filters(stream: pikepdf.Stream) -> list[str]:
    """The names of a stream's filters, in the order of decoding.

    Raises Refused for a name that no filter has.
    """
    value = stream.stream_dict.get("/Filter")
    if value is None:
        return []
    names = [str(one) for one in (value if isinstance(value, pikepdf.Array) else [value])]
    if not FILTERS.issuperset(names):
        raise Refused("a part of it is packed in a way that no program can unpack")
    return names


def unfolded(stream: pikepdf.Object) -> bytes:
    """The decoded data of a stream. Raises Refused, TypeError or pikepdf.PdfError."""
    if not isinstance(stream, pikepdf.Stream):
        raise TypeError("no stream")
    names = filters(stream)
    if "/LZWDecode" in names and (
        len(stream.read_raw_bytes()) > _MOST_LZW or "/FlateDecode" in names
    ):
        raise TooMuch
    try:
        data = stream.read_bytes()
    except pikepdf.PdfError as error:
        if "limit" in str(error):
            raise TooMuch from None
        raise
    if len(data) > MOST_READ:
        raise TooMuch
    return data


class Unfolding:
    """Counts what the compressed data of one file unfold to, a piece at a time."""

    def __init__(self) -> None:
        self._left = MOST_COPIED

    def check(self, data: bytes, most: int) -> None:
        """Raise ValueError if ``data`` is damaged, TooMuch if it unfolds to more than ``most``
        bytes, or the file to more than ``MOST_COPIED``.
        """
        decompressor, rest = zlib.decompressobj(), data
        try:
            while rest and not decompressor.eof:
                piece = len(decompressor.decompress(rest, _AT_A_TIME))
                self._left -= piece
                most -= piece
                if min(self._left, most) < 0:
                    raise TooMuch
                rest = decompressor.unconsumed_tail
        except zlib.error as error:
            raise ValueError(f"damaged data: {error}") from None


def most_of(stream: pikepdf.Stream) -> int:
    """The bytes that a stream may unfold to when it is copied; a picture has its own size."""
    entries = stream.stream_dict
    if entries.get("/Subtype") != pikepdf.Name.Image:
        return MOST_READ
    width, height = int(entries.get("/Width", 0)), int(entries.get("/Height", 0))
    # at most 32 colours of 16 bits (annex C), and a byte for each line's predictor
    return max(MOST_READ, min(width * height * 64 + height, MOST_COPIED))
