"""Mock exams: papers without help or repeated exercises, and the examiner's sheet."""

from __future__ import annotations

import shutil
from contextlib import closing
from io import BytesIO

import pytest
from pypdf import PdfReader
from pypdfium2 import PdfDocument
from pypdfium2.raw import FPDF_PAGEOBJ_PATH as PATH

from tests.tagged import tagged
from tests.weeks.test_studio import begun, outcomes, run, studio  # noqa: F401
from workbook.record.identity import item_identity
from workbook.weeks.studios import opened


@pytest.fixture
def exam(studio):  # noqa: F811
    run("exam", "--studio", studio, "--day", "2027-05-20", "--forms", "2")
    return studio


def records(folder, student="Pippa Marrowby"):
    with opened(folder) as one:
        return {
            (sheet.title, sheet.folder): one.record.workbook(sheet.code)
            for sheet in one.record.sheets(student)
        }


def test_written_papers_have_no_help_and_nothing_that_was_had(exam):
    found = records(exam)
    week = next(r for (_, folder), r in found.items() if folder.startswith("2027-01-12"))
    forms = [r for (_, folder), r in found.items() if "form-" in folder]
    assert [form.form for form in forms] == ["A", "B"]
    had = {item_identity(item) for item in week.items}
    papers = [{item_identity(item) for item in form.items} for form in forms]
    assert all(item.given == 0 for form in forms for item in form.items)
    # five-finger patterns and triads have one exercise in a key; most others have several
    for paper in papers:
        assert len(paper & had) <= len(paper) // 3


def test_the_examiners_sheet_is_marked_like_any_other(exam):
    found = records(exam)
    played = next(r for (_, folder), r in found.items() if folder.endswith("/played"))
    assert all(item.skill.startswith("played/") for item in played.items)
    assert all(
        [b.asks for b in item.blanks] == ["notes", "fingering", "steadiness"]
        for item in played.items
    )
    assert played.points == 3 * len(played.items)
    said = run("mark", played.code, "--wrong", "1.2", "--studio", exam)
    assert f"total {played.points - 1} of {played.points}" in said
    assert outcomes(exam, played.code)["1.2"] == "wrong"


def test_the_boxes_of_the_examiners_sheet_are_where_the_record_has_them(exam):
    found = records(exam)
    folder, played = next((f, r) for (_, f), r in found.items() if f.endswith("/played"))
    data = (exam / folder / "examiners-sheet.pdf").read_bytes()
    assert played.code in PdfReader(BytesIO(data)).pages[0].extract_text()
    with closing(PdfDocument(data)) as pdf:
        for blank in played.blanks:
            drawn = (one.get_bounds() for one in pdf[blank.page - 1].get_objects([PATH]))
            # a line has a width, half of it outside the box
            assert any(one == pytest.approx(blank.rect, abs=0.75) for one in drawn)


def test_exams_are_made_again_from_the_record(exam, tmp_path):
    for (_, folder), record in records(exam).items():
        if not folder.startswith("exam"):
            continue
        before = {path.name: path.read_bytes() for path in (exam / folder).iterdir()}
        out = tmp_path / record.code
        run("record", "remake", record.code, "--out", out, "--studio", exam)
        assert {path.name: path.read_bytes() for path in out.iterdir()} == before
    shutil.rmtree(tmp_path / record.code)


def test_a_second_exam_on_one_day_is_another(exam):
    said = run("exam", "--studio", exam, "--day", "2027-05-20", "--forms", "2")
    assert "exam-2027-05-20-2" in said
    codes = [r.code for (_, f), r in records(exam).items() if f.startswith("exam")]
    assert len(codes) == len(set(codes)) == 6


def test_the_examiners_sheet_is_tagged_and_tells_the_boxes(exam):
    found = records(exam)
    folder, played = next((f, r) for (_, f), r in found.items() if f.endswith("/played"))
    sheet = tagged((exam / folder / "examiners-sheet.pdf").read_bytes())
    assert sheet.faults == [] and sheet.roles().count("H1") == 1
    assert len(sheet.alts()) == len(played.items)
    assert sum("notes, fingering, steadiness" in alt for alt in sheet.alts("P")) == len(
        played.items
    )


def test_no_text_touches_the_boxes(studio):  # noqa: F811
    """A long label, such as that of hands a sixth apart, goes on below."""
    roster = studio / "roster.csv"
    text = roster.read_text("utf-8").replace("first-steps,C major; G major", "level-09,")
    roster.write_text(text, "utf-8")
    run("exam", "--studio", studio, "--day", "2027-05-20", "--student", "Pippa Marrowby")
    (played,) = (r for r in records(studio).values() if r.items[0].skill.startswith("played/"))
    folder = studio / "exam-2027-05-20" / "Pippa-Marrowby" / "played"
    with closing(PdfDocument(folder / "examiners-sheet.pdf")) as pdf:
        for number, page in enumerate(pdf, 1):
            text = page.get_textpage()
            chars = [text.get_charbox(at) for at in range(text.count_chars())]
            for blank in (one for one in played.blanks if one.page == number):
                left, bottom, right, top = blank.rect
                near = [
                    box
                    for box in chars
                    if left - 6 < box[2] and box[0] < right and bottom < box[3] and box[1] < top
                ]
                assert not near, (blank.id, text.get_text_range())
