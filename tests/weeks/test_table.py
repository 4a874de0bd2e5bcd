"""Points by section from the mark sheet, as spreadsheet programs save it."""

from __future__ import annotations

import csv
import io
import time

import openpyxl
import pytest
from pypdf import PdfReader

from tests.weeks.test_studio import begun, run, sheets, studio  # noqa: F401
from workbook.marking.points_table import number_in
from workbook.weeks.marks import summary
from workbook.weeks.studios import opened

WEEK = "2027-01-12"


def table(folder) -> list[list[str]]:
    """The mark sheet of the week."""
    text = (folder / WEEK / "mark-sheet.csv").read_text("utf-8-sig")
    return list(csv.reader(io.StringIO(text)))


def fill(rows, code, **points):
    """Type points under the letters of sections into the row of ``code``."""
    row = next(row for row in rows if code in row)
    for letter, value in points.items():
        row[rows[0].index(letter)] = value
    return rows


def save(folder, rows, separator=",", encoding="utf-8-sig"):
    out = io.StringIO()
    csv.writer(out, delimiter=separator).writerows(rows)
    path = folder / "marks.csv"
    path.write_bytes(out.getvalue().encode(encoding))
    return path


def points(folder, code):
    with opened(folder) as one:
        return one.record.points(code)


@pytest.mark.parametrize(
    "typed, value",
    [
        ("6", 6),
        ("6.5", 6.5),
        ("6,5", 6.5),
        ("6½", 6.5),
        ("6 1/2", 6.5),
        ("½", 0.5),
        ("0", 0),
        ("six", None),
        ("", None),
        ("-1", None),
        ("6.5½", None),
        ("1e3", None),
    ],
)
def test_points_as_they_are_typed(typed, value):
    assert number_in(typed) == value


@pytest.mark.parametrize(
    "separator, encoding", [(",", "utf-8-sig"), (";", "utf-8"), ("\t", "utf-16")]
)
def test_any_table_of_a_spreadsheet_program(studio, separator, encoding):  # noqa: F811
    code = sheets(studio)["Pippa Marrowby"].code
    rows = fill(table(studio), code, A="2,5" if separator == ";" else "2.5", B="1")
    said = run("mark", "--table", save(studio, rows, separator, encoding), "--studio", studio)
    assert points(studio, code) == {"A": 2.5, "B": 1}
    assert "A 2.5  B 1" in said


def test_an_xlsx_workbook(studio):  # noqa: F811
    code = sheets(studio)["Pippa Marrowby"].code
    book = openpyxl.Workbook()
    for row in fill(table(studio), code, A="3"):
        book.active.append([int(cell) if cell.isdecimal() else cell for cell in row])
    book.save(studio / "marks.xlsx")
    run("mark", "--table", studio / "marks.xlsx", "--studio", studio)
    assert points(studio, code) == {"A": 3}


def test_every_problem_is_told_and_nothing_entered(studio):  # noqa: F811
    pippa, otto = (sheets(studio)[name].code for name in ("Pippa Marrowby", "Otto Quill"))
    rows = fill(fill(table(studio), pippa, A="999", B="good"), otto, A="1")
    rows.append(["Nobody", "", "QQQ-QQQ", "1"])
    said = run("mark", "--table", save(studio, rows), "--studio", studio, code=2)
    assert "3 problems, nothing was written" in said
    assert '"good" under B is not a number of points' in said
    assert "A has 999 of" in said and "no sheet in the record" in said and "row 4" in said
    assert not points(studio, pippa) and not points(studio, otto)


def test_what_does_not_count_is_told(studio):  # noqa: F811
    code = sheets(studio)["Pippa Marrowby"].code
    rows = fill(table(studio), code, A="1", total="99")
    for row, cell in zip(rows, ["my notes", "nice", "late"]):
        row.append(cell)
    rows.append(["average", "", "", "3"])
    said = run("mark", "--table", save(studio, rows), "--studio", studio)
    assert 'the column "my notes" does not count' in said
    assert "row 4 has no key code" in said
    assert points(studio, code) == {"A": 1}


def test_a_wrong_total_is_told(studio):  # noqa: F811
    code = sheets(studio)["Pippa Marrowby"].code
    with opened(studio) as one:
        letters = [section.letter for section in one.record.workbook(code).sections]
    rows = fill(table(studio), code, **dict.fromkeys(letters, "1"), total="99")
    said = run("mark", "--table", save(studio, rows), "--studio", studio)
    assert f"the total of {code} is {len(letters)}, not 99" in said


def test_the_same_table_twice_adds_nothing(studio):  # noqa: F811
    code = sheets(studio)["Pippa Marrowby"].code
    path = save(studio, fill(table(studio), code, A="1"))
    run("mark", "--table", path, "--studio", studio)
    run("mark", "--table", path, "--studio", studio)
    with opened(studio) as one:
        assert len(one.record.history(code)) == 1


def test_an_empty_table_is_told(studio):  # noqa: F811
    path = studio / WEEK / "mark-sheet.csv"
    assert "has no points yet" in run("mark", "--table", path, "--studio", studio)
    bad = studio / "bad.csv"
    bad.write_text("a,b\n1,2\n", "utf-8")
    assert 'no column "key code"' in run("mark", "--table", bad, "--studio", studio, code=2)
    (studio / "bad.xlsx").write_bytes(b"PK nothing")
    said = run("mark", "--table", studio / "bad.xlsx", "--studio", studio, code=2)
    assert "as an .xlsx file" in said


def test_the_mark_sheet_printed_again_has_the_recorded_points(studio):  # noqa: F811
    code = sheets(studio)["Pippa Marrowby"].code
    run("mark", code, "--wrong", "1.1", "--studio", studio)
    said = run("record", "sheet", "--week", "2027-01-12", "--studio", studio)
    table, printed = (studio / "mark-sheets" / f"2027-01-12.{end}" for end in ("csv", "pdf"))
    assert said.split() == [str(table), str(printed)]
    with opened(studio) as one:
        found = summary(one, code)
    with table.open(encoding="utf-8-sig", newline="") as file:
        rows = {row["key code"]: row for row in csv.DictReader(file)}
    assert rows[code]["total"] == f"{found.points:g}" and found.points < found.full
    for section in found.sections:
        assert rows[code][section.letter] == f"{section.points:g}"
    other = next(row for name, row in rows.items() if name != code)
    assert other["total"] == "" and other["A"] == ""
    assert f"{found.points:g} / {found.full}" in PdfReader(printed).pages[0].extract_text()
    run("mark", "--table", table, "--studio", studio)
    with opened(studio) as one:
        assert not one.record.points(code), "points that follow from the boxes are not entered"
    assert "no sheet" in run("record", "sheet", "--week", "2020-01-01", "--studio", studio, code=1)


def test_points_beside_their_column_are_told(studio):  # noqa: F811
    """As in the mark sheet of a build: what was typed is entered, or said."""
    code = sheets(studio)["Pippa Marrowby"].code
    rows = fill(table(studio), code, A="1")
    place = rows[0].index("A of")
    number = next(number for number, row in enumerate(rows) if code in row)
    full, rows[number][place] = rows[number][place], "1.5"
    said = run("mark", "--table", save(studio, rows), "--studio", studio, code=2)
    assert f'row {number + 1}: column "A of" has 1.5, not {full}' in said
    rows[number][place] = full
    rows[0].append("room of")
    rows[number] += ["2", "3"]
    said = run("mark", "--table", save(studio, rows), "--studio", studio)
    assert 'the column "room of" does not count' in said
    assert f'row {number + 1}: "3" has no heading above it and does not count' in said
    assert points(studio, code) == {"A": 1}


def test_a_column_or_a_code_that_comes_twice_is_told(studio):  # noqa: F811
    code = sheets(studio)["Pippa Marrowby"].code
    rows = fill(table(studio), code, A="1")
    for row, cell in zip(rows, ["a", "2"]):
        row.append(cell)
    said = run("mark", "--table", save(studio, rows), "--studio", studio, code=2)
    assert 'row 1: the column "a" appears more than once' in said
    rows = fill(table(studio), code, A="1")
    rows.append([code.lower().replace("-", "") if cell == code else cell for cell in rows[1]])
    rows[-1][rows[0].index("key code")] = code.lower().replace("-", "")
    rows[-1][rows[0].index("A")] = "2"
    said = run("mark", "--table", save(studio, rows), "--studio", studio, code=2)
    assert f"the key code {code} appears more than once" in said
    assert not points(studio, code)


@pytest.mark.parametrize("encoding", ["cp1252", "utf-16-le"])
def test_a_table_of_an_old_program_is_read(studio, encoding):  # noqa: F811
    code = sheets(studio)["Pippa Marrowby"].code
    rows = fill(table(studio), code, A="2½")
    path = save(studio, rows, encoding=encoding)
    run("mark", "--table", path, "--studio", studio)
    assert points(studio, code) == {"A": 2.5}


def test_a_table_of_thousands_is_answered_at_once(studio):  # noqa: F811
    rows = [["x", "y", "QQQ-QQQ", "1"]] * 9_000
    began = time.process_time()
    said = run("mark", "--table", save(studio, [*table(studio), *rows]), "--studio", studio, code=2)
    assert "and 8,950 more" in said
    for rows in ([["x"]] * 10_001, [["x"] * 1_001]):
        path = save(studio, [*table(studio), *rows])
        said = run("mark", "--table", path, "--studio", studio, code=2)
        assert "more than 10,000 rows or 1,000 columns" in said
    path = save(studio, [*table(studio), *[["note"]] * 9_000])
    said = run("mark", "--table", path, "--studio", studio)
    assert "and 8,950 more" in said and said.count("\n") == 51
    assert time.process_time() - began < 10
