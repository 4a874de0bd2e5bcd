"""Print that is too large for its paper is refused before work starts."""

import pytest

from workbook import build
from workbook.builds.study_pages import study_pages
from workbook.design import PAPERS, SIZES
from workbook.errors import InputError

SMALL = ("half-letter", "a5")
ROOM = "{} paper is too small for extra-large print; choose letter or a4 paper, or large print"


def rows(*own):
    return [
        {"student": f"Ada {n}", "template": "first-steps", "keys": "C major", **cells}
        for n, cells in enumerate(own)
    ]


def told(some, folder, **settings):
    with pytest.raises(InputError) as caught:
        build(some, folder / "out", **settings)
    assert not (folder / "out").exists()
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize("paper", SMALL)
def test_settings_that_do_not_go_together_are_told_once(paper, tmp_path):
    problems = told(rows({}, {}), tmp_path, paper=paper, size="extra-large")
    assert problems == [f"roster: {ROOM.format(paper)}"]


def test_rows_with_a_paper_or_a_size_of_their_own_are_named(tmp_path):
    some = rows({}, {"paper": "a5"}, {"size": "large"}, {"paper": "half-letter", "size": "normal"})
    assert told(some, tmp_path, size="extra-large") == [f"roster, row 3: {ROOM.format('a5')}"]


def test_study_pages_are_refused_in_the_same_words(tmp_path):
    with pytest.raises(InputError, match=ROOM.format("a5")):
        study_pages("C major", "first-steps", tmp_path / "out", paper="a5", size="extra-large")
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("paper", PAPERS)
def test_everything_else_is_built(paper, size, tmp_path):
    if (paper in SMALL) and size == "extra-large":
        return
    (one,) = build(rows({}), tmp_path / "out", paper=paper, size=size)
    assert one.paper == paper
