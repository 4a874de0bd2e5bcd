"""The roster as a table: what is changed is changed, all else stays byte for byte."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.weeks.test_studio import begun, run, studio  # noqa: F401
from workbook.errors import InputError, OutputError
from workbook.studio.folder import read_studio
from workbook.weeks.roster_table import check, edited, offers, read_table, save, table_of

ODD = (
    b'sep=;\r\n"student";template;keys;#phone;\r\n\r\n'
    b'Pippa "Pip" Marrowby;first-steps;"C major, G major";  ring twice;\r\n'
    b"Otto Quill;first-steps;D major\r\n"
)


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_only_the_row_that_is_changed_is_written_anew(mark):
    table = table_of(mark + ODD, "roster.csv")
    assert [row.number for row in table.rows] == [4, 5]
    assert table.rows[0].cells[3] == "  ring twice"
    new = edited(table, {(5, 2): "D major; B minor"}, [{0: "Nan Ferry", 1: "first-steps"}])
    before, after = (mark + ODD).splitlines(), new.splitlines()
    assert after[:4] == before[:4]
    assert after[4] == b'Otto Quill;first-steps;"D major; B minor";;'
    assert after[5:] == [b"Nan Ferry;first-steps;;;"]
    assert new.endswith(b"\r\n")


def test_a_row_is_removed_and_nothing_else():
    table = table_of(ODD, "roster.csv")
    assert edited(table, {}, [{0: " "}], {4, 2}) == b"\r\n".join(
        [*ODD.split(b"\r\n")[:3], *ODD.split(b"\r\n")[4:]]
    )


def test_the_same_cells_are_the_same_file():
    table = table_of(ODD, "roster.csv")
    same = {(row.number, at): cell for row in table.rows for at, cell in enumerate(row.cells)}
    assert edited(table, same) == ODD


@given(st.lists(st.text(st.characters(exclude_categories=["Cs", "Cc"])), min_size=3, max_size=3))
def test_what_is_written_is_read(cells):
    table = table_of(b"student,template,keys\nOtto,first-steps,C major\n", "roster.csv")
    new = table_of(edited(table, {(2, at): cell for at, cell in enumerate(cells)}), "roster.csv")
    assert [row.cells for row in new.rows] == (
        [tuple(cells)] if any(c.strip() for c in cells) else []
    )


def test_near_matches_take_the_place_of_what_was_meant(studio):  # noqa: F811
    one = read_studio(studio)
    data = b"student,template,keys\nPippa Marrowby,first-stepz,H-Dur; C major\n"
    table = table_of(data, "roster.csv")
    found = [offer for problem in check(one, data) for offer in offers(problem, table)]
    assert [(offer.row, offer.column, offer.text) for offer in found] == [
        (2, 1, "first-steps"),
        (2, 2, "B major; C major"),
    ]


def test_a_roster_with_problems_or_changed_elsewhere_is_not_written(studio):  # noqa: F811
    one = read_studio(studio)
    table = read_table(one.roster)
    with pytest.raises(InputError, match="first-steps"):
        save(one, table, edited(table, {(2, 1): "first-stepz"}))
    assert one.roster.read_bytes() == table.data
    one.roster.write_bytes(table.data + b"Nan Ferry,first-steps,C major,\n")
    with pytest.raises(OutputError, match="changed elsewhere"):
        save(one, table, edited(table, {(2, 2): "C major"}))


def test_a_linked_roster_stays_a_link(studio, tmp_path):  # noqa: F811
    kept, one = tmp_path / "kept.csv", read_studio(studio)
    one.roster.rename(kept)
    one.roster.symlink_to(kept)
    table = read_table(one.roster)
    save(one, table, edited(table, {(2, 2): "F major"}))
    run("student", "rename", "Otto Quill", "Otto Moor", "--studio", studio)
    assert one.roster.is_symlink()
    said = kept.read_text("utf-8")
    assert "F major" in said and "Otto Moor" in said
