"""A mark sheet that the teacher has edited, built again: nothing typed in it is lost.

Each edit is one that a person makes in a spreadsheet program, or that the program makes by
itself when it saves the file (common practice, no source).
"""

import codecs
import unicodedata
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from studio import BOOKS, MARKS, NAME, TEXT, built_again, cells, changed, text_of

from workbook.builds.studio_files import mark_table_files
from workbook.inputs.csv_table import heading
from workbook.inputs.messages import fold, has_ink
from workbook.marking.mark_sheet import Marked, mark_sheet

ROWS = cells(TEXT)
PLAIN = TEXT.replace("17½", "17.5")
"""The mark sheet with marks in ASCII; a student's name is not."""


def test_the_table_of_the_tests():
    assert ROWS[0] == [
        "student",
        "workbook",
        "key code",
        *["A", "A of", "B", "B of", "total", "total of"],
    ]
    assert built_again(TEXT) == (TEXT, None, "")


def resaved(separator=",", ends="\r\n", text=TEXT):
    return text_of(cells(text), separator).replace("\r\n", ends)


SAVED = {
    "without a byte-order mark": TEXT.encode(),
    "UTF-16": TEXT.encode("utf-16"),
    "UTF-16, the higher byte first": codecs.BOM_UTF16_BE + TEXT.encode("utf-16-be"),
    "UTF-16 without a byte-order mark": TEXT.encode("utf-16-le"),
    "the same, the higher byte first": TEXT.encode("utf-16-be"),
    "windows-1252": PLAIN.encode("cp1252"),
    "an old Mac": PLAIN.encode("mac_roman"),
    "CR line ends": resaved(ends="\r"),
    "LF line ends": resaved(ends="\n"),
    "windows-1252, semicolons, CR": resaved(";", "\r", PLAIN).encode("cp1252"),
    "a heading in another case": TEXT.replace("key code", "Key Code").replace("total", "TOTAL"),
    "headings with spaces": TEXT.replace("student,", " student ,").replace("A of", "A  of "),
    "a heading with a no-break space": TEXT.replace("key code", "key\u00a0code"),
    "blank rows and cells": TEXT.replace("\r\n", ",,,\r\n") + ",,,\r\n\u00a0\r\n",
    "a blank row among the rows": TEXT.replace("\r\n", "\r\n,,,,,\r\n"),
    "sorted rows": text_of([ROWS[0], ROWS[2], ROWS[1]]),
    "moved columns": text_of([row[2:] + row[:2] for row in ROWS]),
    "columns deleted": text_of([row[2:4] + row[7:8] for row in ROWS]),
    "points with decimals": TEXT.replace(",20,,", ',"20,00",,'),
    "points removed": text_of([[c for c, h in zip(r, ROWS[0]) if " of" not in h] for r in ROWS]),
    "all cells quoted": "\r\n".join(
        ",".join('"' + cell.replace('"', '""') + '"' for cell in row) for row in ROWS
    ),
    "the apostrophe of a name dropped": TEXT.replace("'=Ada", "=Ada"),
    "a name decomposed": TEXT.replace("Zoë", "Zoe\u0308"),
    "a sep= line saved as a row": "sep=;,,,,,,,,\r\n" + TEXT,
}


@pytest.mark.parametrize("name", SAVED)
def test_marks_are_read_however_the_table_was_saved(name):
    data = SAVED[name]
    files, notice = mark_table_files(
        BOOKS, data if isinstance(data, bytes) else data.encode(), lambda name: False
    )
    assert notice == "" and list(files) == [NAME]
    data = files[NAME]
    text = data.decode("utf-16" if data.startswith(codecs.BOM_UTF16_LE) else "utf-8-sig")
    separator = ";" if "semicolons" in name else ","
    assert cells(text, separator) in (cells(TEXT), cells(PLAIN))


EDITS = {
    "a mark one column too far right": (
        text_of([*ROWS[:2], [*ROWS[2][:3], "", "9", *ROWS[2][5:]]]),
        'a mark under the points (row 3: "9" under "A of", not 12)',
    ),
    "a mark right of a section that the workbook does not have": (
        changed(2, 6, "5"),
        'a mark under the points (row 3: "5" under "B of")',
    ),
    "changed points": (
        changed(1, 4, "25"),
        'changed points (row 2: "25" under "A of", not 20)',
    ),
    "a column repeated": (
        text_of([[*row, row[3]] for row in ROWS]),
        'columns with the same heading, combined ("A")',
    ),
    "a column ending in of": (
        text_of([[*row, extra] for row, extra in zip(ROWS, ["Date of", "4 May", ""])]),
        'columns of your own ("Date of")',
    ),
    "a heading without anything below": (
        text_of([[*row, extra] for row, extra in zip(ROWS, ["Date of", "", ""])]),
        'columns of your own ("Date of")',
    ),
    "two headings without anything below": (
        text_of([[*row, *more] for row, more in zip(ROWS, [["Date", "Date of"], [], []])]),
        'columns of your own ("Date"; "Date of")',
    ),
    "a column of remarks": (
        text_of([[*row, extra] for row, extra in zip(ROWS, ["remarks", "", "well done"])]),
        'columns of your own ("remarks")',
    ),
    "two columns without headings": (
        text_of([[*row, *more] for row, more in zip(ROWS, [["", ""], ["x", "y"], ["z", ""]])]),
        "columns of your own (column J without a heading; column K without a heading)",
    ),
    "cells beyond the headings": (
        TEXT.replace("12\r\n", "12,,late\r\n"),
        "columns of your own (column K without a heading)",
    ),
    "words after a student": (
        changed(1, 0, "'=Ada (ill)"),
        'changed words (row 2: "\'=Ada (ill)" under "student")',
    ),
    "words after a workbook": (
        changed(2, 1, "'Level' 3, once more"),
        'changed words (row 3: "\'Level\' 3, once more" under "workbook")',
    ),
    "words after a key code": (
        changed(2, 2, "BBB-333 late"),
        'changed words (row 3: "BBB-333 late" under "key code")',
    ),
    "a note under the table": (TEXT + "\r\nAda was ill\r\n", "rows of your own (row 5)"),
    "a row of averages": (TEXT + "average,,,13,,,,,\r\n", "rows of your own (row 4)"),
    "a title row": ("Marks of spring,,,\r\n" + TEXT, "rows above the headings (row 1)"),
    "a second table below": (TEXT + TEXT, "rows of your own (row 4); rows of one workbook"),
    "a row of another workbook": (
        TEXT + "Bo,Spring,CCC-444,7,20,,10,,30\r\n",
        "rows of other workbooks (row 4, CCC-444)",
    ),
    "a row of a student who left": (
        TEXT + "Bo,Spring,CCC-444,,20,,10,,30\r\n",
        "rows of other workbooks (row 4, CCC-444)",
    ),
    "words in a row of an earlier build": (
        TEXT + "Zoë Q (ill),'Level' 3,CCC-444,,20,,10,,30\r\n",
        "rows of other workbooks (row 4, CCC-444)",
    ),
    "words after the workbook of an earlier build": (
        TEXT + "Zoë Q,'Level' 3 (again),CCC-444,,20,,10,,30\r\n",
        "rows of other workbooks (row 4, CCC-444)",
    ),
    "words after the key code of an earlier build": (
        TEXT + "Zoë Q,'Level' 3,CCC-444 ill,,20,,10,,30\r\n",
        "rows of other workbooks (row 4, CCC-444)",
    ),
    "changed points in a row of an earlier build": (
        TEXT + "Zoë Q,'Level' 3,CCC-444,,25,,10,,30\r\n",
        "rows of other workbooks (row 4, CCC-444)",
    ),
    "a row of an earlier build twice": (
        TEXT + 2 * "Zoë Q,'Level' 3,CCC-444,,20,,10,,30\r\n",
        "rows of other workbooks (row 4, CCC-444; row 5, CCC-444)",
    ),
    "two columns of an earlier section": (
        text_of(
            [
                [*ROWS[0][:7], "C", "C of", "C of", *ROWS[0][7:]],
                *([*row[:7], "", "", "", *row[7:]] for row in ROWS[1:]),
                ["Zoë Q", "'Level' 3", "CCC-444", "", "20", "", "10", "", "5", "7", "", "35"],
            ]
        ),
        "rows of other workbooks (row 4, CCC-444)",
    ),
    "a row with wrong quotes": (
        TEXT + '"Bo" x,,BBB-333\r\n',
        "rows that cannot be read (row 4: a quotation mark is not closed",
    ),
    "points removed from the headings": (
        TEXT.replace("B of", "of B"),
        'columns of your own ("of B")',
    ),
}


@pytest.mark.parametrize("name", EDITS)
def test_what_has_no_place_is_kept_and_said_in_one_line(name):
    edited, words = EDITS[name]
    text, kept, notice = built_again(edited)
    assert kept == edited.encode() and words in notice, notice
    assert "\n" not in notice and notice.startswith(f"{NAME} was replaced, and the old one kept")
    wanted = mark_sheet(BOOKS, MARKS)
    if name == "a mark one column too far right":
        wanted = mark_sheet(BOOKS, {"AAA-222": MARKS["AAA-222"]})
    assert text == wanted


def test_a_duplicated_row_whose_copy_is_empty_keeps_its_marks():
    empty = [*ROWS[1][:3], "", "20", "", "10", "", "30"]
    for rows in ([*ROWS, empty], [ROWS[0], empty, *ROWS[1:]], [*ROWS, ROWS[1]]):
        text, kept, notice = built_again(text_of(rows))
        assert text == TEXT and kept == text_of(rows).encode()
        assert "rows of one workbook, combined (rows 2 and" in notice


def test_marks_of_two_rows_are_put_together():
    rows = [ROWS[0], [*ROWS[1][:7], "", "30"], ROWS[2], [*ROWS[1][:3], "", *ROWS[1][4:]]]
    assert built_again(text_of(rows))[0] == TEXT


def test_of_marks_that_differ_none_is_taken():
    rows = [*ROWS, [*ROWS[1][:3], "18", *ROWS[1][4:]]]
    text, kept, notice = built_again(text_of(rows))
    assert cells(text)[1][3] == "" and cells(text)[1][7] == "20"
    assert 'so none was kept (rows 2 and 4: "17½" and "18" under "A")' in notice
    twice = text_of([[*row, other] for row, other in zip(ROWS, ["A", "18", "9"])])
    text, kept, notice = built_again(twice)
    assert [row[3] for row in cells(text)[1:]] == ["", "9"]
    assert '(row 2: "17½" and "18" under "A")' in notice and kept == twice.encode()


def test_a_mark_under_a_section_that_the_workbook_does_not_have_stays_there():
    edited = changed(2, 5, "3")
    assert built_again(edited) == (edited, None, "")


def test_marks_in_an_encoding_that_is_guessed_are_said():
    text, kept, notice = built_again(TEXT.encode("cp1252"))
    assert text == TEXT and kept == TEXT.encode("cp1252")
    assert 'had to be guessed ("17½" of AAA-222)' in notice


@pytest.mark.parametrize("data", [b"", b"remarks of mine", b"PK\x03\x04xl/", bytes(range(256))])
def test_what_cannot_be_read_is_kept_and_said(data):
    text, kept, notice = built_again(data)
    assert kept == data and "it could not be read: " in notice and text == mark_sheet(BOOKS)


@pytest.mark.parametrize("mark", ["1,5", "01.Mai", "06-Aug", "6/8", "17 ½", "=8+9", "-", "#REF!"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_a_mark_stays_as_the_program_saved_it(mark, separator):
    edited = text_of(cells(changed(1, 3, mark)), separator)
    assert built_again(edited) == (edited, None, "")


@pytest.mark.parametrize("separator", [";", "\t", ","])
def test_the_separator_of_the_teacher_stays(separator):
    edited = text_of(ROWS, separator)
    assert built_again(edited) == (edited, None, "")


@pytest.mark.parametrize("separator", [";", "|", ","])
def test_a_line_that_names_the_separator_stays(separator):
    edited = f"sep={separator}\r\n" + text_of(ROWS, separator)
    assert built_again(edited) == (edited, None, "")


def test_a_table_in_utf_16_stays_one():
    for text in (TEXT, text_of(ROWS, "\t")):
        files, notice = mark_table_files(BOOKS, text.encode("utf-16"), lambda name: False)
        assert notice == "" and files[NAME].decode("utf-16") == text


def test_rows_that_an_earlier_build_wrote_are_not_kept():
    other = [Marked(b.student, b.title, b.code[::-1], b.sections) for b in BOOKS]
    assert built_again(mark_sheet(other)) == (mark_sheet(BOOKS), None, "")
    marked = mark_sheet(other, {other[0].code: {"B": "1"}})
    _text, kept, notice = built_again(marked)
    assert kept == marked.encode() and "rows of other workbooks (row 2, 222-AAA)" in notice


def test_a_long_list_of_places_is_cut_short():
    notice = built_again(TEXT + "".join(f"note {n}\r\n" for n in range(9)))[2]
    assert "rows of your own (row 4; row 5; row 6; row 7; and 5 more)" in notice


def test_a_title_with_spaces_of_its_own_is_no_changed_word():
    books = [Marked("Ada", "Spring  term", "AAA-222", (("A", "Scales", 20),))]
    assert built_again(mark_sheet(books), books) == (mark_sheet(books), None, "")


def test_a_copy_is_never_written_over_another(tmp_path):
    taken = {"mark-sheet-before.csv", "mark-sheet-before-2.csv"}
    files, notice = mark_table_files(BOOKS, (TEXT + "note").encode(), taken.__contains__)
    assert set(files) == {NAME, "mark-sheet-before-3.csv"} and "mark-sheet-before-3.csv" in notice


# Any edits at all.


def places(rows):
    """All ink of a table: what stands under which heading in the row of which workbook."""
    header = next(row for row in rows if "keycode" in map(heading, row))
    at = [heading(cell) for cell in header].index("keycode")
    found = set()
    for row in rows:
        code = "".join(row[at].split()).upper() if at < len(row) else ""
        for column, cell in enumerate(row):
            if has_ink(cell):
                name = heading(header[column]) if column < len(header) else None
                found.add((code, name, heading(unicodedata.normalize("NFC", fold(cell)))))
    return found


INK = st.text(alphabet="17½x=-;,'\" \n\u00a0\u200bé", max_size=4) | st.sampled_from(
    [*BOOKS[0].code.split(), "BBB-333", "CCC-444", "A", "A of", "total", "9", "20", "key code"]
)


@st.composite
def edited(draw):
    """The rows of the table after up to six edits."""
    rows = cells(draw(st.sampled_from([TEXT, PLAIN, mark_sheet(BOOKS)])))
    for _ in range(draw(st.integers(1, 6))):
        row = draw(st.integers(0, len(rows) - 1))
        column = draw(st.integers(0, max(1, *map(len, rows), 1) - 1))
        kind = draw(
            st.sampled_from(["type", "type", "copy", "cut", "insert", "move", "new", "add"])
        )
        if kind == "type":
            rows[row] += [""] * (column + 1 - len(rows[row]))
            rows[row][column] = draw(INK)
        elif kind == "copy":
            rows.insert(draw(st.integers(0, len(rows))), list(rows[row]))
        elif kind == "cut" and len(rows) > 1:
            rows.pop(row)
        elif kind == "insert":
            rows[row].insert(min(column, len(rows[row])), draw(INK))
        elif kind == "move":
            rows.append(rows.pop(row))
        elif kind == "new":
            rows.insert(row, draw(st.lists(INK, max_size=6)))
        else:
            name = draw(INK)
            for number, one in enumerate(rows):
                one.insert(column, draw(INK) if number else name)
    return rows


EARLIER = {
    place for book in BOOKS for place in places(cells(mark_sheet([replace(book, code="CCC-444")])))
}
"""What an earlier build wrote for the same students: a row without marks is no loss."""
ENCODINGS = st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])


@settings(max_examples=400, deadline=None)
@given(edited(), st.sampled_from([",", ";", "\t"]), ENCODINGS)
def test_all_ink_is_in_the_new_table_or_in_the_kept_copy(rows, separator, encoding):
    data = text_of(rows, separator).encode(encoding, "replace")
    typed = text_of(rows, separator).encode(encoding, "replace").decode(encoding)
    files, notice = mark_table_files(BOOKS, data, lambda name: False)
    copies = [content for name, content in files.items() if name != NAME]
    assert copies == ([data] if notice else []) and "\n" not in notice
    if not notice:
        new = files[NAME].decode("utf-16" if encoding.startswith("utf-16") else "utf-8-sig")
        assert places(cells(typed, separator)) <= places(cells(new, separator)) | EARLIER
