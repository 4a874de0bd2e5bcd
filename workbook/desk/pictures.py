"""Pages as pictures, sharp enough for a tablet.

In: a PDF and a page. Out: the page as PNG, and its size in points. The last pictures are kept in
memory, so that the way back to a page is short. pdfium serves one thread at a time.
"""

from __future__ import annotations

import io
from collections import OrderedDict
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

from workbook.errors import WorkbookError
from workbook.inputs.files import read_file
from workbook.inputs.messages import reason

_WIDTH = 1600
"""Pixels: two for each point of a page that fills a tablet upright."""
_MOST = 40
"""Pictures kept in memory, each of about 100 kB."""


class NoPicture(WorkbookError):
    """The PDF cannot be drawn, or has no such page."""


@dataclass(frozen=True)
class Picture:
    """A page: its PNG, its size in points, and how many pages the file has."""

    png: bytes
    width: float
    height: float
    pages: int


class Pictures:
    """Draws pages and keeps the last ones. Any thread may ask."""

    def __init__(self) -> None:
        self._kept: OrderedDict[tuple[Path, int, int, int], Picture] = OrderedDict()
        self._lock = Lock()

    def page(self, file: Path, number: int) -> Picture:
        """Page ``number``, from 1. Raises NoPicture."""
        import pypdfium2  # the pages of a desk are up without

        with self._lock:
            try:
                seen = file.stat()
                address = (file, seen.st_mtime_ns, seen.st_size, number)
                if address not in self._kept:
                    self._kept[address] = _drawn(file, number)
            except OSError as error:
                raise NoPicture(f"{file.name} cannot be read: {reason(error)}") from None
            except pypdfium2.PdfiumError:
                raise NoPicture(f"{file.name} is damaged; make the sheet again") from None
            self._kept.move_to_end(address)
            while len(self._kept) > _MOST:
                self._kept.popitem(last=False)
            return self._kept[address]


def _drawn(file: Path, number: int) -> Picture:
    import pypdfium2

    with closing(pypdfium2.PdfDocument(read_file(file))) as document:
        if not 1 <= number <= len(document):
            raise NoPicture(f"{file.name} has no page {number}")
        page = document[number - 1]
        width, height = page.get_size()
        image = page.render(scale=_WIDTH / width, grayscale=True).to_pil()
        out = io.BytesIO()
        image.save(out, "PNG")
        return Picture(out.getvalue(), width, height, len(document))
