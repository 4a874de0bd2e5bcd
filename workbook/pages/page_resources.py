"""The resources of a page, written in one go: reportlab's own take a tenth of a file's time.

In: a page of a reportlab document. Out: its fonts, forms and graphics states (ISO 32000-1,
7.8.3). Procedure sets are left out; they have had no use since PDF 1.4 (14.2).
"""

from __future__ import annotations

from reportlab.pdfbase import pdfdoc


class PageResources(pdfdoc.PDFObject):  # type: ignore[misc]  # reportlab has no types
    """What a page needs besides its content. Its names are made by this program or reportlab."""

    def __init__(self, page: pdfdoc.PDFPage):
        self._forms: list[str] = sorted(page.XObjects.dict) if page.XObjects else []
        self._states = page.ExtGState

    def format(self, document: pdfdoc.PDFDocument) -> bytes:
        numbers = document.idToObjectNumberAndVersion
        parts = ["<< /Font {} {} R".format(*numbers[pdfdoc.BasicFonts])]
        if self._forms:
            forms = " ".join("/{} {} {} R".format(name, *numbers[name]) for name in self._forms)
            parts.append(f"/XObject << {forms} >>")
        text = " ".join(parts).encode()
        if self._states:
            text += b" /ExtGState " + pdfdoc.format(self._states, document)
        return text + b" >>"
