"""Two workbooks, one with fewer sections, and their mark sheet with some marks in it."""

import csv
import io

from workbook.builds.studio_files import mark_table_files
from workbook.marking.mark_sheet import Marked, mark_sheet

BOOKS = [
    Marked("=Ada", "Spring; summer", "AAA-222", (("A", "Scales", 20), ("B", "Chords", 10))),
    Marked("Zoë Q", "'Level' 3", "BBB-333", (("A", "Scales", 12),)),
]
MARKS = {"AAA-222": {"A": "17½", "total": "20"}, "BBB-333": {"A": "9"}}
TEXT = mark_sheet(BOOKS, MARKS)
NAME, KEPT = "mark-sheet.csv", "mark-sheet-before.csv"


def built_again(before, books=BOOKS):
    """The new table's text, the kept copy (None without one) and the notice."""
    data = before if isinstance(before, bytes) else before.encode("utf-8")
    files, notice = mark_table_files(books, data, lambda name: False)
    assert set(files) <= {NAME, KEPT} and bool(notice) == (KEPT in files)
    return files[NAME].decode("utf-8-sig"), files.get(KEPT), notice


def cells(text, separator=","):
    return list(csv.reader(io.StringIO(text, newline=""), delimiter=separator))


def text_of(rows, separator=","):
    out = io.StringIO()
    csv.writer(out, delimiter=separator, lineterminator="\r\n").writerows(rows)
    return out.getvalue()


def changed(row, column, text):
    """The table with another text in one cell; both count from 0."""
    rows = cells(TEXT)
    rows[row][column] = text
    return text_of(rows)
