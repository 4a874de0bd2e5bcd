"""``--pages``: weekly sheets that fit their pages and go round all sections."""

from collections import Counter

import pytest

from workbook import build, read_record
from workbook.builds import weekly_sheets, workbooks
from workbook.planning.weekly import whole
from workbook.record.files import KEY

SECTIONS = {"five-finger": 4, "scale-fingering": 6, "arpeggio": 4}
KEYS = "C major; G major; F major; D major"


@pytest.fixture
def folder(tmp_path):
    """A folder with a template of three sections, of several pages in all."""
    place = tmp_path / "templates"
    place.mkdir()
    sections = "".join(
        f'[[section]]\nfamily = "{family}"\nhands = ["right", "left"]\n'
        f'ask = "finger"\ncount = {count}\npoints = 2\n'
        for family, count in SECTIONS.items()
    )
    (place / "fives.toml").write_text(f'title = "Fives"\n{sections}', "utf-8")
    return place


def built(tmp_path, folder, titles, **more):
    rows = [{"student": "Ada", "template": "fives", "keys": KEYS, "title": one} for one in titles]
    told = []
    made = build(rows, tmp_path / "out", template_dir=folder, notice=told.append, **more)
    return made, told


def families(books):
    """How often each family comes in some workbooks."""
    records = [read_record((one.folder / KEY).read_text("utf-8")) for one in books]
    return Counter(item.family for record in records for item in record.items)


def test_sheets_in_a_row_fit_their_pages_and_have_every_section(tmp_path, folder):
    books, told = built(tmp_path, folder, [f"Week {n}" for n in range(1, 5)], pages=1)
    assert [one.pages for one in books] == [1] * 4 and not any(one.left_out for one in books)
    (sentence,) = told
    assert sentence.startswith("Fives: one round of all sections takes ")
    count = int(sentence.split(" sheets of 1 page.")[0].split()[-1])
    assert 2 <= count <= 4
    assert families(books[:count]) == SECTIONS


def test_pages_of_a_template_and_a_title_without_a_number(tmp_path, folder):
    file = folder / "fives.toml"
    file.write_text("pages = 1\n" + file.read_text("utf-8"), "utf-8")
    books, told = built(tmp_path, folder, ["Lesson"])
    assert books[0].pages == 1 and books[0].items < sum(SECTIONS.values())
    assert "Number the sheets" in told[1] and "Ada" in told[1]


def test_what_does_not_fit_is_left_out_and_told(tmp_path, folder, monkeypatch):
    monkeypatch.setattr(
        weekly_sheets._Measured, "round", lambda self: whole(self._order.row.template)
    )
    monkeypatch.setattr(weekly_sheets, "told_rounds", lambda *rest: [])
    (book,), told = built(tmp_path, folder, ["Week 1"], pages=1)
    assert book.pages == 1 and book.left_out
    assert book.items == sum(SECTIONS.values()) - book.left_out
    (sentence,) = [one for one in told if one.startswith("Left out")]
    assert f"Ada, Week 1 ({book.left_out} exercises)" in sentence


def test_sheets_of_workers_are_those_of_one_process(tmp_path, folder, monkeypatch):
    monkeypatch.setattr(workbooks, "_ROWS_AT_ONCE", 1)
    monkeypatch.setattr(workbooks, "_FEW_BOOKS", 1)
    titles = [f"Week {n}" for n in range(1, 4)]
    alone, _ = built(tmp_path / "alone", folder, titles, pages=1)
    shared, _ = built(tmp_path / "shared", folder, titles, pages=1, processes=2)
    assert [one.code for one in shared] == [one.code for one in alone]
