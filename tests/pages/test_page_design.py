"""The page's design, measured on a sample of levels, papers and sizes."""

import pytest

from tests import page_design
from workbook import design
from workbook.pages.paper import Paper


@pytest.mark.parametrize(
    "levels, paper",
    [
        (("level-01", "level-06"), Paper("letter")),
        (("level-09",), Paper("a4")),
        (("level-04",), Paper("letter", "large")),
        (("level-03",), Paper("a5")),
        (("level-07",), Paper("letter", "extra-large")),
        (("level-10",), Paper("half-letter")),
    ],
)
def test_pages_keep_their_measure(levels, paper):
    found = page_design.measured(paper, levels, page_design.KEYS[:1])
    assert found.torn == 0
    assert max(found.ends) <= 2 and max(found.in_column) == 1
    assert max(found.counts) <= 2 and found.astray == 0
    assert min(found.used) >= 0.97
    assert found.uneven == 0 and max(found.ratios) <= page_design.CLEF_CHANGE
    assert max(found.sizes) <= 5
    assert found.widows == 0 and found.longest <= design.CHARACTERS
    assert min(found.boxes) >= 6.5 * design.MM - 0.01
    assert sum(found.filled) / len(found.filled) >= 0.85


def test_the_first_levels_have_boxes_for_a_thick_pencil():
    found = page_design.measured(Paper("letter"), ["level-01", "level-02"], page_design.KEYS[:1])
    assert min(found.boxes) >= 8 * design.MM - 0.01
