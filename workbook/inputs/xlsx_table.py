"""The first sheet of an .xlsx workbook, read within bounds.

In: the bytes of the file (ISO/IEC 29500: a ZIP archive of XML parts). Out: rows of cells as
texts, or an ``XlsxFault``. A few kilobytes can be unpacked to gigabytes, and one cell can be in
row 1,048,576: what no table of points needs is refused before it is read.
"""

from __future__ import annotations

import io
import warnings
import zipfile

MOST_ROWS, MOST_COLUMNS = 10_000, 1_000
TOO_LARGE = (
    f"has more than {MOST_ROWS:,} rows or {MOST_COLUMNS:,} columns; remove all but the table of "
    "points"
)
_MOST_BYTES = 8_000_000
"""Of one part of the archive; a table of 300 sheets has half a million."""
_MOST_PARTS = 1_000
_NO_VALUE = (
    "has formulas without results; open it in a spreadsheet program and save it again, or "
    "type the points as numbers"
)


class XlsxFault(ValueError):
    """The workbook cannot be read; the text says why and what to do."""


def read_xlsx(data: bytes) -> list[tuple[str, ...]]:
    """All rows in order, empty ones included, so that each is at its number.

    A number is written as short as it can be. Raises XlsxFault.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
    except Exception:  # noqa: BLE001  # zipfile raises whatever the damage leads to
        raise _unread() from None
    if len(parts) > _MOST_PARTS or any(_is_large(part) for part in parts):
        raise XlsxFault("is too large for a table of points; save it as CSV")
    values = _rows(data, values=True)
    for row, formulas in zip(values, _rows(data, values=False)):
        for place, formula in enumerate(formulas):
            if formula.startswith("=") and not "".join(row[place : place + 1]):
                raise XlsxFault(_NO_VALUE)
    return values


def _is_large(part: zipfile.ZipInfo) -> bool:
    """Whether a part exceeds the limit; pictures are not read and do not count."""
    return part.file_size > _MOST_BYTES and part.filename.endswith((".xml", ".rels"))


def _rows(data: bytes, values: bool) -> list[tuple[str, ...]]:
    """The rows with the values of formulas, or with the formulas."""
    import openpyxl

    found: list[tuple[str, ...]] = []
    try:
        with warnings.catch_warnings(action="ignore"):  # of parts that are not read
            book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=values)
            sheet = book.worksheets[0]
            sheet.reset_dimensions()  # what a file says of its own size may be anything
            for row in sheet.iter_rows(values_only=True):
                if len(found) == MOST_ROWS or len(row) > MOST_COLUMNS:
                    raise XlsxFault(TOO_LARGE)
                found.append(tuple(map(_text, row)))
            book.close()
    except XlsxFault:
        raise
    except Exception:  # noqa: BLE001  # openpyxl raises whatever the damage leads to
        raise _unread() from None
    return found


def _text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:g}"
    return str(value)


def _unread() -> XlsxFault:
    return XlsxFault("cannot be read as an .xlsx file; save it again, or as CSV")
