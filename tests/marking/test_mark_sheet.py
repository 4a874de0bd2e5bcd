"""The mark sheet as a spreadsheet program saves it: every mark is read, or none is dropped."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from studio import BOOKS, TEXT

from tests.formulas import FORMULA, starts
from workbook.inputs.messages import fold
from workbook.marking.mark_sheet import Marked, TableForm, as_text, mark_sheet, read_back
from workbook.marking.mark_table import column_letters, read_mark_table


def rows_of(data):
    return read_mark_table(data if isinstance(data, bytes) else data.encode()).rows


def test_names_points_and_row_numbers_are_read():
    ada, zoe = rows_of(TEXT)
    assert (ada.student, ada.title, zoe.title) == ("=Ada", "Spring; summer", "'Level' 3")
    assert (ada.points(), zoe.points()) == ((20, 10, 30), (12, 12))
    assert (ada.number, zoe.number, ada.code) == (2, 3, "AAA-222")


@pytest.mark.parametrize("shown", ["20.00", "20,0", " 20 "])
def test_points_as_a_spreadsheet_program_shows_numbers(shown):
    ada, _ = rows_of(TEXT.replace(",20,,", f',"{shown}",,'))
    assert ada.points() == (20, 10, 30)


def test_points_that_are_no_numbers_are_told_with_their_place():
    row = rows_of(TEXT.replace(",20,", ",many,", 1))[0]
    with pytest.raises(ValueError, match='row 2: "many" under "A of" is not a number'):
        row.points()


@pytest.mark.parametrize(
    "data", [b"", b"PK\x03\x04xl/", b"remarks of mine", b"\xff", b'"a" x,key code\n']
)
def test_a_file_that_is_no_mark_sheet_is_told(data):
    with pytest.raises(ValueError):
        read_mark_table(data)


def test_key_codes_are_known_however_they_are_typed():
    for code in ("aaa-222", " AAA - 222", "AAA\u2013222", "AAA\u2011222 ill"):
        assert rows_of(TEXT.replace("AAA-222", code))[0].code == "AAA-222"


@given(st.text(alphabet=FORMULA + ",;|:\t \"'x1", max_size=12).map(fold))
def test_a_name_is_no_formula_in_any_program_and_reads_back_as_typed(name):
    assert read_back(as_text(name)) == name
    book = Marked(name, name, "AAA-222", (("A", "Scales", 20),))
    for written in (",", ";", "\t", "|"):
        text = mark_sheet([book], form=TableForm(written))
        for opened in (",", ";", "\t", "|"):
            for row in csv.reader(io.StringIO(text, newline=""), delimiter=opened):
                assert not starts(row) & set(FORMULA), text


@pytest.mark.parametrize("name", ["x;=1+1", "\uff1d1+1", "x;\uff20a", 'x;"=1+1"', "'=x", "a,+1"])
def test_names_that_look_like_formulas(name):
    (row,) = rows_of(mark_sheet([Marked(name, "T", "AAA-222", ())]))
    assert row.student == name and as_text(name) != name


def test_usual_names_are_written_as_they_are():
    for name in ("Ann-Marie O'Neill", "Lee, Bo", "Level 3 - summer", "a=b; c", "'Level' 3"):
        assert as_text(name) == name


def test_columns_are_called_as_in_a_spreadsheet():
    assert [column_letters(n) for n in (0, 25, 26, 701, 702)] == ["A", "Z", "AA", "ZZ", "AAA"]


def test_a_table_may_have_another_separator():
    table = read_mark_table(mark_sheet(BOOKS, form=TableForm("|", True)).encode("utf-8-sig"))
    assert table.form == TableForm("|", True) and len(table.rows) == 2
