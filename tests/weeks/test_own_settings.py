"""The settings of a row, and the roster's order, in every command of a studio."""

from __future__ import annotations

import json

import pytest
from pypdf import PdfReader

from tests.weeks.test_studio import run
from workbook.studio.folder import read_studio
from workbook.weeks.studios import opened
from workbook.weeks.this_week import this_week

ROSTER = """\
student,template,keys,size,letters,steps,paper,fingering,# day
Week 10,first-steps,B minor; G major,,,,,,Monday
Week 2,first-steps,B minor; G major,Large,German,,A4,mine/own.toml,Friday
"""
OWN = '[[scale]]\nkeys = "G major"\nright = "123412312341235"\n'
LOOKS = {"Week 10": ("letter", "normal", (612, 792)), "Week 2": ("a4", "large", (595, 842))}
GERMAN = "H minor"


@pytest.fixture(scope="module")
def studio(tmp_path_factory):
    there = tmp_path_factory.mktemp("roster")
    (there / "mine").mkdir()
    (there / "mine" / "own.toml").write_text(OWN, "utf-8")
    (there / "list.csv").write_text(ROSTER, "utf-8")
    folder = tmp_path_factory.mktemp("studio") / "studio"
    run("begin", folder, "--roster", there / "list.csv")
    text = (folder / "studio.toml").read_text("utf-8")
    for name in ("first_lesson", "exam ="):
        text = text.replace(f"# {name}", name)
    (folder / "studio.toml").write_text(text, "utf-8")
    return folder


def measure(path):
    """Width and height in points, and the words."""
    pages = PdfReader(path).pages
    sizes = {tuple(round(float(side)) for side in page.mediabox[2:]) for page in pages}
    assert len(sizes) == 1
    return sizes.pop(), " ".join(" ".join(page.extract_text() for page in pages).split())


@pytest.mark.parametrize(
    "words",
    [
        ("next", "--week", "2027-01-12", "--pages", 2),
        ("build", "--week", "2027-01-19"),
        ("exam", "--day", "2027-05-20"),
    ],
    ids=lambda words: words[0],
)
def test_sheets_have_the_settings_of_their_row(studio, words):
    said = run(*words, "--studio", studio)
    assert said.index("Week 10:") < said.index("Week 2:")
    day = words[2]
    found = {}
    for path in studio.glob(f"*{day}/**/key.json"):
        key = json.loads(path.read_text("utf-8"))
        paper, size, points = LOOKS[key["student"]]
        played = path.parent.name == "played"  # in normal size, as a form for the examiner
        assert (key["paper"], key["size"]) == (paper, "normal" if played else size)
        whole, text = measure(path.with_name("examiners-sheet.pdf" if played else "workbook.pdf"))
        assert whole == points
        found[key["student"], played] = text
    assert GERMAN in found["Week 2", False] and GERMAN not in found["Week 10", False]
    (job,) = studio.glob(f"*{day}/all-workbooks.pdf")
    assert [one.title.split(",")[0] for one in PdfReader(job).outline] == ["Week 10", "Week 2"]
    assert "pages of several sizes" in said
    run("check", job.parent)


def test_progress_and_term_have_the_words_and_the_paper_of_the_row(studio):
    run("progress", "--studio", studio)
    run("term", "--studio", studio)
    for folder in ("progress", "term"):
        for name, (_, _, points) in LOOKS.items():
            size, text = measure(studio / folder / f"{name.replace(' ', '-')}.pdf")
            assert tuple(sorted(size)) == points  # the term's pages are wider than high
            assert (GERMAN in text) == (name == "Week 2")


def test_the_order_of_the_roster_and_of_numbers_in_names(studio):
    with opened(studio) as one:
        assert [found.student for found in this_week(one).students] == ["Week 10", "Week 2"]
    run("build", "--week", "2027-01-26", "--student", "Week 2", "--studio", studio)
    run("build", "--week", "2027-01-26", "--student", "Week 10", "--studio", studio)
    (path,) = [
        line
        for line in run("record", "sheet", "--week", "2027-01-26", "--studio", studio).splitlines()
        if line.endswith(".csv")
    ]
    rows = (studio / path).read_text("utf-8-sig").splitlines()[1:]
    assert [row.split(",")[0] for row in rows] == ["Week 10", "Week 2"]
    roster = read_studio(studio).roster
    text = roster.read_text("utf-8")
    roster.write_text("student,template,keys\n", "utf-8")  # then it is the order of numbers
    try:
        with opened(studio) as one:
            assert [found.student for found in this_week(one).students] == ["Week 2", "Week 10"]
    finally:
        roster.write_text(text, "utf-8")


def test_renaming_keeps_the_columns_of_a_row(studio):
    run("student", "rename", "Week 2", "Week 3", "--studio", studio)
    run("student", "rename", "Week 3", "Week 2", "--studio", studio)
    assert read_studio(studio).roster.read_text("utf-8") == ROSTER


@pytest.mark.parametrize(
    ("named", "told"),
    [
        ("../own.toml", 'fingering is "../own.toml", outside the roster\'s folder'),
        ("fingering.toml", "in a studio folder the file for all rows"),
    ],
)
def test_a_roster_whose_files_cannot_come_along_is_told(tmp_path, named, told):
    (tmp_path / "here").mkdir()
    (tmp_path / "here" / named).write_text(OWN, "utf-8")
    roster = tmp_path / "here" / "list.csv"
    roster.write_text(f"student,template,keys,fingering\nAda,first-steps,G major,{named}\n")
    said = run("begin", tmp_path / "studio", "--roster", roster, code=2)
    assert "row 2" in said and told in said and not (tmp_path / "studio").exists()
