"""Checks that a workbook's PDFs are for the student, and have the title, of its record.

In: a record, and the bytes of a PDF. Out: findings. Compared are the PDF's properties, which
have names as they were typed; on the page they may be cut short or run from right to left.
See ISO 32000-1, 14.3.3 (document information; the clause number is from memory).
"""

from __future__ import annotations

import pikepdf

from workbook.pdf.finished import Unreadable, opened
from workbook.preflight.expected import Expected
from workbook.preflight.positions import Faults
from workbook.record.files import document_title


def name_faults(record: Expected, data: bytes, file: str) -> Faults:
    """(0, what is wrong) in the student and title of the PDF called ``file``.

    A PDF without these properties is not reported.
    """
    try:
        with opened(data) as pdf:
            info = pdf.trailer.get("/Info", pikepdf.Dictionary())
            found = [str(info.get(name, "")) for name in ("/Author", "/Title")]
    except Unreadable:
        return  # reported where the objects are checked
    wanted = [record.student, document_title(file, record.title, record.student)]
    for what, one, other in zip(("student", "title"), found, wanted):
        if one and one != other:
            yield 0, f'its {what} is "{one}"; key.json has "{other}"'
            return  # the title has the student's name, too
