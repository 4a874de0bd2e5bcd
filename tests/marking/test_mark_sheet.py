"""The mark sheet as a spreadsheet program saves it: every mark is read, or none is dropped."""

import codecs

import pytest

from workbook.marking.mark_sheet import Marked, has_room, mark_sheet, read_marks, table_rows

BOOKS = [
    Marked("=Ada", "Spring; summer", "AAA-222", (("A", "Scales", 20), ("B", "Chords", 10))),
    Marked("Bo", "'Level' 3", "BBB-333", (("A", "Scales", 12),)),
]
MARKS = {"AAA-222": {"A": "17½", "total": "20"}, "BBB-333": {"A": "9"}}
TEXT = mark_sheet(BOOKS, MARKS)


@pytest.mark.parametrize(
    "data",
    [
        TEXT.encode("utf-8-sig"),
        TEXT.encode("utf-16"),
        codecs.BOM_UTF16_BE + TEXT.encode("utf-16-be"),
        TEXT.replace(",", "\t").replace("\r\n", "\n").encode(),
        ("sep=,\r\n" + TEXT).encode(),
        TEXT.replace("student,", " Student ,").encode() + b",,,,\r\n",
    ],
)
def test_marks_come_back_however_the_table_was_saved(data):
    assert read_marks(data) == MARKS and has_room(read_marks(data), BOOKS)
    ada, bo = table_rows(data)
    assert (ada.student, ada.title, bo.title) == ("=Ada", "Spring; summer", "'Level' 3")
    assert (ada.points(), bo.points()) == ((20, 10, 30), (12, 12))
    assert (bo.number, ada.number) in {(3, 2), (4, 3)}
    assert mark_sheet(BOOKS, read_marks(data)) == TEXT


@pytest.mark.parametrize(
    "old, new, words",
    [
        ("key code", "code", 'there is no column "key code"'),
        ("BBB-333", "AAA-222", 'row 3: the key code "AAA-222" appears twice'),
        ("12\r\n", "12,extra\r\n", "row 3: 10 cells under 9 headings"),
        ("Bo,", '"Bo" x,', "row 3: a quotation mark"),
        ("B,B of", "A,B of", 'column "A" appears twice'),
    ],
)
def test_what_would_lose_a_mark_is_told(old, new, words):
    assert old in TEXT
    with pytest.raises(ValueError, match=words):
        read_marks(TEXT.replace(old, new).encode())


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04xl/", b"remarks of mine", b"\xff"])
def test_a_file_that_is_no_table_is_told(data):
    with pytest.raises(ValueError):
        read_marks(data)


def test_points_that_are_no_numbers_are_told_with_their_place():
    row = table_rows(TEXT.replace(",20,", ",many,", 1).encode())[0]
    with pytest.raises(ValueError, match='row 2: "many" under "A of" is not a number'):
        row.points()
    assert row.marks == MARKS["AAA-222"]  # the marks are read all the same


@pytest.mark.parametrize(
    "column, book", [("remarks", "AAA-222"), ("C", "BBB-333"), ("A", "CCC-444")]
)
def test_a_mark_without_a_place_in_the_new_table(column, book):
    assert not has_room({book: {column: "x"}}, BOOKS)
