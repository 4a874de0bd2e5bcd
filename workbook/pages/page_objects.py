"""The objects of a page, each written in one go: reportlab's own take a fifth of a file's time.

In: a page of a reportlab document. Out: its dictionary with its fonts, forms and graphics states,
and its content (ISO 32000-1, 7.7.3.3, 7.8.2 and 7.8.3). Procedure sets are left out; they have had
no use since PDF 1.4 (14.2).
"""

from __future__ import annotations

import zlib
from functools import lru_cache

from reportlab.pdfbase import pdfdoc

from workbook.pdf.packed import LEVEL


class PageObject(pdfdoc.PDFObject):  # type: ignore[misc]  # reportlab has no types
    """The dictionary of a page. Its names are made by this program or reportlab."""

    __RefOnly__ = 1

    def __init__(self, page: pdfdoc.PDFPage):
        self._box = _box(page.pagewidth, page.pageheight)
        self._content = _Content(page.stream)
        self._forms: list[str] = sorted(page.XObjects.dict) if page.XObjects else []
        self._states = page.ExtGState

    def format(self, document: pdfdoc.PDFDocument) -> bytes:
        pages, content = (
            document.Reference(one).format(document) for one in (document.Pages, self._content)
        )
        return (
            b"<<\n/Contents %b /MediaBox %b /Parent %b /Resources %b /Rotate 0 /TrimBox %b "
            b"/Type /Page\n>>" % (content, self._box, pages, self._resources(document), self._box)
        )

    def _resources(self, document: pdfdoc.PDFDocument) -> bytes:
        """What the page needs besides its content."""
        numbers = document.idToObjectNumberAndVersion
        parts = ["<< /Font {} {} R".format(*numbers[pdfdoc.BasicFonts])]
        if self._forms:
            forms = " ".join("/{} {} {} R".format(name, *numbers[name]) for name in self._forms)
            parts.append(f"/XObject << {forms} >>")
        text = " ".join(parts).encode()
        if self._states:
            text += b" /ExtGState " + pdfdoc.format(self._states, document)
        return text + b" >>"


class _Content(pdfdoc.PDFObject):  # type: ignore[misc]  # reportlab has no types
    """What a page draws, compressed."""

    __RefOnly__ = 1

    def __init__(self, operators: str):
        self._operators = operators

    def format(self, document: pdfdoc.PDFDocument) -> bytes:  # noqa: ARG002 (reportlab's call)
        data = zlib.compress(self._operators.encode(), LEVEL)
        head = b"<<\n/Filter [ /FlateDecode ] /Length %d\n>>\nstream\n" % len(data)
        return b"%b%bendstream\n" % (head, data)


@lru_cache(maxsize=64)
def _box(width: float, height: float) -> bytes:
    box: bytes = pdfdoc.PDFArray([0, 0, width, height]).format(None)
    return box
