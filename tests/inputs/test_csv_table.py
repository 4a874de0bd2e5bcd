"""CSV files of every kind, and files that are none.

The form of CSV is RFC 4180; what stands at the head of other files is in the ZIP
specification (APPNOTE.TXT 4.3.7) and in [MS-CFB] 2.2, both from memory.
"""

import io
import zipfile

import pytest

from workbook.inputs.csv_table import CsvFault, heading, read_csv

COLUMNS = ("student", "key code")


def rows(data):
    table = read_csv(data if isinstance(data, bytes) else data.encode(), COLUMNS)
    return table.separator, [(row.number, *row.cells) for row in table.rows]


def test_quotes_and_line_ends_in_cells():
    assert rows('student,key code\r\n"Lee, ""A""\r\nx",1\r\n') == (
        ",",
        [(1, "student", "key code"), (2, 'Lee, "A"\r\nx', "1")],
    )


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_the_separator_is_the_one_that_gives_the_columns(separator):
    text = f"student{separator}key code\na{separator}b\n"
    assert rows(text) == (separator, [(1, "student", "key code"), (2, "a", "b")])


@pytest.mark.parametrize(
    "line, separator",
    [
        ("sep=;\n", ";"),
        ("SEP=;\r\n", ";"),
        ('"sep=;"\n', ";"),
        ("sep=,\n", ","),
        ("sep=\t\n", "\t"),
        ("sep=|\n", "|"),
        ("\ufeffsep=;\n", ";"),
        ("sep=;;;;\n", ";"),
    ],
)
def test_a_line_that_names_the_separator_is_a_row_of_the_file(line, separator):
    text = line + separator.join(COLUMNS) + f"\n\na{separator}b\n"
    assert rows(text) == (separator, [(2, *COLUMNS), (4, "a", "b")])


def test_a_separator_line_that_was_saved_as_a_row_names_nothing():
    assert rows("sep=;,\nstudent,key code\n") == (",", [(2, *COLUMNS)])


def test_the_separator_is_found_below_a_title():
    assert rows("Spring, summer\n\nstudent;key code\n")[0] == ";"


@pytest.mark.parametrize(
    "encoding, otherwise, called",
    [
        ("utf-8", "", "utf-8"),
        ("utf-8-sig", "cp1252", "utf-8"),
        ("utf-16", "", "utf-16"),
        ("utf-16-le", "cp1252", "utf-16"),
        ("utf-16-be", "cp1252", "utf-16"),
        ("cp1252", "cp1252", "cp1252"),
        ("mac_roman", "mac_roman", "mac_roman"),
    ],
)
def test_the_encoding_is_told(encoding, otherwise, called):
    table = read_csv("student\nZoë\n".encode(encoding), COLUMNS, otherwise)
    assert (table.rows[1].cells, table.encoding) == (("Zoë",), called)


def test_what_the_other_encoding_does_not_have_is_told():
    with pytest.raises(CsvFault, match="is not UTF-8"):
        read_csv(b"student\n\x81\xfe\n", COLUMNS, "cp1252")


def test_a_separator_line_wins_over_what_the_header_looks_like():
    assert rows("sep=;\nstudent,key code;x\n") == (";", [(2, "student,key code", "x")])


def test_rows_without_anything_count():
    assert rows("student,key code\n\n,\n\u200b,\na,b\n")[1] == [(1, *COLUMNS), (5, "a", "b")]


def test_a_row_with_wrong_quotes_has_no_cells_and_the_next_are_read():
    table = read_csv(b'student,key code\n"a" b,c\nd,e\n', COLUMNS)
    assert [row.cells for row in table.rows] == [COLUMNS, (), ("d", "e")]
    assert "quotation mark" in str(table.rows[1].fault) and table.rows[1].number == 2


def test_a_cell_too_long_is_told_as_that():
    table = read_csv(b"student,key code\n" + b"x" * 140_000 + b",1\n", COLUMNS)
    assert "has a cell of more than" in str(table.rows[1].fault)


@pytest.mark.parametrize(
    "data", [b"", b"\n\n", b"\xef\xbb\xbf", b'"",""\n', b",,\n", b"sep=;\n;;\n"]
)
def test_empty_files_have_no_rows(data):
    assert read_csv(data, COLUMNS).rows == ()


def archive(*names, mimetype=""):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as file:
        if mimetype:
            file.writestr("mimetype", mimetype)
        for name in names:
            file.writestr(name, "<x/>" * 100)
    return out.getvalue()


@pytest.mark.parametrize(
    "data, what",
    [
        (archive("[Content_Types].xml", "xl/workbook.xml"), "is an Excel workbook"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(512), "is an Excel workbook"),
        (
            archive("content.xml", mimetype="application/vnd.oasis.opendocument.spreadsheet"),
            "is an OpenDocument spreadsheet",
        ),
        (archive("roster.csv"), "is a ZIP archive"),
        ("Zoë".encode("latin-1"), "is not UTF-8"),
        ("student".encode("utf-16-le"), "is not plain text"),
    ],
)
def test_what_is_no_csv_is_named(data, what):
    with pytest.raises(CsvFault, match=f'{what}.*; save it as "CSV UTF-8"'):
        read_csv(data, COLUMNS)


def test_headings():
    assert heading("  Key \u00a0CODE ") == heading("key code")
