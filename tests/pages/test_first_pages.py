"""Narrow pages, as in large print: the opening fills the page that it stands on, or two; the first
exercise stands below it where it has room. No exercise is torn that fits on a page.
"""

from dataclasses import replace
from itertools import pairwise

import pytest

from tests.page_design import filled, paginated
from workbook import design
from workbook.design import PAPERS, SIZES
from workbook.engraving.frame import lines, longest
from workbook.music.keys import parse_keys
from workbook.pages.arranging import arranged
from workbook.pages.columns import frames
from workbook.pages.elements import Rule, Text
from workbook.pages.examples import with_short_examples
from workbook.pages.flow import fill
from workbook.pages.opening import TABLE, opening
from workbook.pages.paper import Paper
from workbook.planning.dealing import plan
from workbook.studio.roster import Row
from workbook.studio.templates import available, read_template

XL, A4_XL = Paper("letter", "extra-large"), Paper("a4", "extra-large")
SIX = "C major; G major; D major; A minor; E minor; D minor"


def a_plan(level, paper, seed="a", keys=""):
    template = read_template(available()[level])
    own = parse_keys(keys) if keys else template.keys
    row = Row("Ada Lovelace", template, own, template.title, None, 2)
    return arranged(with_short_examples(plan(row, seed), paper), paper)


def texts(page):
    return [e.text for block in page for e in block.elements if isinstance(e, Text)]


@pytest.mark.parametrize(
    "level, paper, seed",
    [
        ("level-10", A4_XL, "b"),
        ("level-10", XL, "a"),
        ("level-07", A4_XL, "a"),
        ("level-05", XL, "a"),
        ("level-09", Paper("half-letter"), "a"),
        ("level-03", Paper("letter", "large"), "a"),
    ],
)
def test_the_first_two_pages_are_filled(level, paper, seed):
    made = a_plan(level, paper, seed)
    first, second, *_ = paginated(made, paper)
    assert min(filled(first, paper), filled(second, paper)) >= design.FIRST_PAGE
    # the title, its student and the whole table are together, each on one page
    assert {made.title, "Ada Lovelace", "Total"} <= set(texts(first))
    (on,) = [page for page in (first, second) if TABLE in texts(page)]
    assert {section.letter for section in made.sections} <= set(texts(on))


@pytest.mark.parametrize("level", ["level-04", "level-05", "level-08"])
def test_an_exercise_stands_below_an_opening_of_two_pages(level):
    """The table of 14 sections or more is on the first page of extra-large print."""
    made = a_plan(level, XL)
    first, second, *_ = paginated(made, XL)
    assert len(made.sections) >= 14 and TABLE in texts(first)
    assert any(text.startswith("Keys: ") for text in texts(second))
    assert made.sections[0].title in texts(second)


def test_a_table_with_a_page_to_itself_has_wide_rows():
    made = a_plan("level-10", XL)
    _, second, *_ = paginated(made, XL)
    assert TABLE in texts(second) and made.sections[0].items[0].exercise.task not in texts(second)
    assert 0.75 <= filled(second, XL) <= 1


@pytest.mark.parametrize("count", [13, 20, 40])
@pytest.mark.parametrize(
    "instructions", ["", "Read this with your teacher before you write. " * 21]
)
def test_any_table_is_on_one_page_and_its_rows_keep_their_distance(count, instructions, tmp_path):
    """Unless it is higher than a page; then its rows begin a page."""
    path = tmp_path / "many.toml"
    section = '[[section]]\nfamily = "arpeggio"\nhands = ["right"]\ncount = 1\npoints = 1\n'
    path.write_text(
        f'title = "Many"\ninstructions = """{instructions}"""\n' + count * section, "utf-8"
    )
    template = read_template(path)
    made = plan(Row("Ada", template, parse_keys("all"), "Many", None, 2), "a")
    found = fill(opening(made, XL), XL.top - XL.bottom)
    letters = {section.letter for section in made.sections}
    on = [page for page in found if TABLE in texts(page) or letters & set(texts(page))]
    assert len(on) == (2 if count > 25 else 1) and TABLE in texts(on[0])
    for page in on:
        top, rows = 0.0, []
        for block in page:
            letter = [e.y for e in block.elements if isinstance(e, Text) and e.text in letters]
            rows += [top + y for y in letter]
            top -= block.height
        assert min(one - after for one, after in pairwise(rows)) >= 1.3 * design.TEXT


def test_date_and_total_share_a_line_only_where_that_makes_room():
    def rows(level):
        made = a_plan(level, XL)
        found = [(b, e) for b in opening(made, XL) for e in b.elements if isinstance(e, Text)]
        (date,) = [e.y for _, e in found if e.text == "Date"]
        (total,) = [e.y for _, e in found if e.text == "Total"]
        rules = [e for b in opening(made, XL) for e in b.elements if isinstance(e, Rule)]
        return date == total, any(rule.x0 == rule.x1 for rule in rules)

    assert rows("level-05") == (True, True)
    assert rows("level-02") == (False, False)


def lowest(before, page):
    """The height of an exercise that is on two pages, its lines as close as may be, in points."""
    start = max(n for n, block in enumerate(before) if not block.within)
    end = next((n for n, block in enumerate(page) if not block.within), len(page))
    first, *others = [*before[start:], *page[:end]]
    return first.height + sum(line.above + line.height - line.shrink for line in others)


@pytest.mark.parametrize(
    "level, paper, seed, keys",
    [
        ("level-09", A4_XL, "a", ""),
        ("level-10", XL, "b", SIX),
        ("level-09", replace(A4_XL, punched=True), "a", ""),
        ("level-07", Paper("half-letter", punched=True), "b", ""),
        ("level-08", Paper("half-letter", punched=True), "h", ""),
        ("level-09", Paper("a5", "large"), "a", ""),
        ("level-09", Paper("a5", "large", punched=True), "d", ""),
        ("level-10", Paper("half-letter", "large"), "f", ""),
    ],
)
def test_no_exercise_is_torn_that_fits_on_a_page(level, paper, seed, keys):
    """Its heading stands above it, so both have to fit."""
    pages = paginated(a_plan(level, paper, seed, keys), paper)
    for before, page in pairwise(pages):
        if page[0].within:
            assert lowest(before, page) > paper.top - paper.bottom


@pytest.mark.parametrize("paper", [XL, A4_XL])
def test_an_octave_has_one_line_in_extra_large_print(paper):
    """15 notes, though there are accidentals, or a clef for the next line."""
    made = a_plan("level-09", paper)
    found = zip(made.drawn, frames(made, paper))
    runs = [
        longest(lines(item.exercise, frame), len(item.exercise.staves[0].events))
        for item, frame in found
        if item.exercise.family == "scale-fingering"
    ]
    assert runs and set(runs) <= {14, 15}


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", PAPERS)
def test_punched_pages_are_clear_of_the_holes_and_of_the_edge(name, size):
    """A hole reaches 16.25 mm into the page: its middle is 12 ± 1 mm from the edge, and it is
    6 ± 0.5 mm wide (ISO 838). Printers leave 4 mm free (from memory).
    """
    paper = Paper(name, size, punched=True)
    left, right = paper.left * paper.scale, paper.whole[0] - paper.right * paper.scale
    assert left + paper.shift >= 16.25 * design.MM and right - paper.shift >= 4 * design.MM


def test_punched_pages_keep_their_margin():
    """They move towards the edge of the paper."""
    assert Paper("a4", "large", punched=True).left == Paper("a4", "large").left
    assert Paper("a4", "extra-large", punched=True).left == design.TIGHT_PUNCHED / A4_XL.scale
    assert replace(A4_XL, punched=False).left == design.WIDEST_SIDE / A4_XL.scale
