"""Workbooks of spreadsheet programs: read, or refused before they fill the memory."""

from __future__ import annotations

import io
import time
import zipfile

import openpyxl
import pytest

from workbook.inputs.xlsx_table import XlsxFault, read_xlsx


def book(*rows) -> bytes:
    made = openpyxl.Workbook()
    for row in rows:
        made.active.append(row)
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def changed(data: bytes, part: str, old: bytes, new: bytes) -> bytes:
    """The workbook with something else in one of its parts."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as before,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as after,
    ):
        for name in before.namelist():
            content = before.read(name)
            if name.endswith(part):
                assert old in content
                content = content.replace(old, new)
            after.writestr(name, content)
    return out.getvalue()


SMALL = book(["key code", "A"], ["QWZ-6UR", 6.5], [None, True])
CELLS = b"<row><c><v>1</v></c></row>"


def test_cells_are_texts():
    assert read_xlsx(SMALL) == [("key code", "A"), ("QWZ-6UR", "6.5"), ("", "True")]


@pytest.mark.parametrize(
    "part, old, new, told",
    [
        ("sheet1.xml", b"</sheetData>", b" " * 9_000_000 + b"</sheetData>", "too large"),
        ("sheet1.xml", b"</sheetData>", CELLS * 11_000 + b"</sheetData>", "more than 10,000 rows"),
        ("sheet1.xml", b'<row r="3"', b'<row r="1048576"', "more than 10,000 rows"),
        ("sheet1.xml", b'r="B3"', b'r="XFD3"', "1,000 columns"),
        ("sheet1.xml", b'r="B3"', b'r="ZZZZZZ3"', "as an .xlsx file"),
        ("sheet1.xml", b"<v>1</v>", b"<v>99999</v>", ""),
        ("sheet1.xml", b'ref="A1:B3"', b'ref="A1:XFD1048576"', ""),
        ("styles.xml", b"<styleSheet", b"<", "as an .xlsx file"),
    ],
)
def test_a_flood_is_refused_and_an_odd_size_is_not_believed(part, old, new, told):
    data, began = changed(SMALL, part, old, new), time.process_time()
    if told:
        with pytest.raises(XlsxFault, match=told):
            read_xlsx(data)
    else:
        assert read_xlsx(data)[0] == ("key code", "A")
    assert time.process_time() - began < 5


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04", b"student,A\n", SMALL[:2000]])
def test_what_is_no_workbook_is_told(data):
    with pytest.raises(XlsxFault, match="as an .xlsx file"):
        read_xlsx(data)


def test_a_formula_counts_with_its_value_and_is_told_without():
    made = book(["key code", "A"], ["QWZ-6UR", "=2+3"])
    with pytest.raises(XlsxFault, match="formulas without results"):
        read_xlsx(made)
    kept = (
        changed(made, "sheet1.xml", b"<v></v>", b"<v>5</v>")
        if b"<v></v>" in _sheet(made)
        else (changed(made, "sheet1.xml", b"<v />", b"<v>5</v>"))
    )
    assert read_xlsx(kept)[1] == ("QWZ-6UR", "5")


def _sheet(data: bytes) -> bytes:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return archive.read("xl/worksheets/sheet1.xml")
