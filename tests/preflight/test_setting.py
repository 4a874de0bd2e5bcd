"""``check`` reports pages that are badly set, and no page that a build sets well."""

from math import inf
from pathlib import Path

import pytest
from books import book, exercises, written

import workbook
from tests.page_design import KEYS as DEALT
from tests.page_design import books as built
from workbook.music.keys import parse_key
from workbook.pages.elements import Box, Page, Panel, Picture, Rule, Start, Text
from workbook.pages.paper import Paper
from workbook.pdf.content import read_pages
from workbook.preflight import check_folder
from workbook.preflight.printed import Line, paragraphs
from workbook.preflight.records import read
from workbook.preflight.setting import _begins as begins
from workbook.preflight.setting import setting_faults

KEYS = [parse_key(name) for name in ("D major", "E-flat minor")]
FAMILIES = ("intervals", "scale-fingering", "progression")
FOOT = 50


def told(tmp_path, change=lambda pages: None, families=FAMILIES):
    """What is found in the setting of a small workbook after ``change``."""
    book(tmp_path, [exercises(name, KEYS) for name in families], change=change)
    data = (tmp_path / "workbook.pdf").read_bytes()
    return list(setting_faults(read(tmp_path), data, read_pages(data)))


def height(element):
    if isinstance(element, Start):
        return inf
    if isinstance(element, (Box, Panel)):
        return element.rect[1]
    return element.y0 if isinstance(element, Rule) else element.y


def words(page, *wanted):
    """The first text of a page that is one of those ``wanted``."""
    return next(e for e in page.elements if isinstance(e, Text) and e.text in wanted)


def replaced(page, old, new):
    page.elements = [new if element is old else element for element in page.elements]


def cut(pages, page, low, kept=None):
    """What stands below the height ``low`` of a page goes to a page of its own, but for
    ``kept``.
    """
    one = pages[page]
    foot = [e for e in one.elements if height(e) < FOOT]
    over = [e for e in one.elements if FOOT <= height(e) < low and e is not kept]
    one.elements = [e for e in one.elements if e not in over]
    high = max(height(e) for e in over if isinstance(e, Text))
    pages.insert(page + 1, Page([*(e.moved(0, 735 - high) for e in over), *foot]))


def test_a_sound_workbook_has_no_findings(tmp_path):
    assert told(tmp_path) == []
    assert check_folder(tmp_path, True) == []


def test_a_torn_table_is_told(tmp_path):
    def tear(pages):
        first = pages[0]
        letter = next(e for e in first.elements if isinstance(e, Text) and e.text == "C")
        row = [e for e in first.elements if isinstance(e, Text) and e.y == letter.y]
        first.elements = [e for e in first.elements if e not in row]
        pages[1].elements += [e.moved(0, 745 - letter.y) for e in row]

    found = told(tmp_path, tear)
    assert (1, "the table of sections continues on the next page: choose a shorter title") in found


def test_a_table_without_a_row_is_told(tmp_path):
    def lose(pages):
        letter = next(e for e in pages[0].elements if isinstance(e, Text) and e.text == "B")
        pages[0].elements = [e for e in pages[0].elements if e is not letter]

    assert (1, "the table of sections lacks some of A, B, C") in told(tmp_path, lose)


@pytest.mark.parametrize("side, by", [("right", 330), ("left", -25)])
def test_text_over_a_margin_is_told(tmp_path, side, by):
    task = "Write the number of each interval: 2 is a second, 3 a third."

    def move(pages):
        first = next(e for e in pages[0].elements if isinstance(e, Text) and "Write" in e.text)
        replaced(pages[0], first, first._replace(x=first.x + by, text=task))

    (what,) = [what for page, what in told(tmp_path, move) if page == 1 and "margin" in what]
    assert what == f'"{task}" runs into the {side} margin: shorten it'


def test_a_last_line_of_one_word_is_told(tmp_path):
    def reword(pages):
        first = next(e for e in pages[0].elements if isinstance(e, Text) and "Write" in e.text)
        lines = [first._replace(text="Write the number of each"), first._replace(text="interval.")]
        lines[1] = lines[1].moved(0, -1.36 * first.size)
        pages[0].elements += [line.moved(150, 0) for line in lines]

    message = 'the last line of a paragraph is one word, "interval.": reword it'
    assert (1, message) in told(tmp_path, reword)


def test_an_exercise_that_would_have_fitted_is_told(tmp_path):
    def turn(pages):
        cut(pages, 0, words(pages[0], "2").y + 15)

    found = told(tmp_path, turn)
    assert [
        what for page, what in found if page == 1 and "exercise 2 begins on the next page" in what
    ]


@pytest.mark.parametrize("first", [True, False])
def test_an_exercise_torn_without_need_is_told(tmp_path, first):
    torn = []

    def tear(pages):
        # a scale of two systems, on the first page or on another one
        page, number, picture = next(
            (page, e.number, e)
            for page, one in enumerate(pages)
            for e in one.elements
            if isinstance(e, Picture) and len(e.snippet.lines) > 1 and first is not bool(page)
        )
        torn.append((page + 1, number))
        one, lines = pages[page], picture.snippet.lines
        low = picture.y + picture.scale * (lines[0][0] + lines[1][1]) / 2
        upper, lower = (picture._replace(band=band) for band in lines)
        replaced(one, picture, upper)
        cut(pages, page, low, upper)
        rest = pages[page + 1]
        boxes = [e.rect[3] for e in rest.elements if isinstance(e, Box) and e.number == number]
        rest.elements.append(lower._replace(y=max(boxes) - picture.scale * lines[1][1]))

    families = ("chromatic-scale", *FAMILIES) if first else (*FAMILIES, "chromatic-scale")
    found = told(tmp_path, tear, families)
    ((page, number),) = torn
    assert (
        page,
        f"exercise {number} continues on the next page, but would fit on one page",
    ) in found


def test_paragraphs_are_lines_at_the_leading_of_text():
    lines = [Line(45, 200, y, 11, "x") for y in (700, 685.04, 670.08, 640, 625.04)]
    assert [len(one) for one in paragraphs(lines)] == [3, 2]


def test_an_answer_is_no_start_of_a_section():
    """The F and C of a circle of fifths, beside a section F that is called Chord progression."""
    assert not begins("Chord progression", "C") and begins("Chord progression", "Chord")
    assert begins("B♭ minor, left hand. Write it.", "B♭ minor, left") and begins("Keys", "Keys")


@pytest.mark.parametrize(
    "level, paper",
    [
        *(
            pytest.param(*one, marks=pytest.mark.sweep)
            for one in (
                ("level-01", Paper("letter")),
                ("level-06", Paper("half-letter")),
                ("level-10", Paper("a4", punched=True)),
                ("level-03", Paper("letter", "extra-large")),
            )
        ),
        ("level-06", Paper("letter")),
        ("level-09", Paper("a4", punched=True)),
        ("level-04", Paper("letter", "large")),
        ("level-03", Paper("a5")),
    ],
)
def test_what_is_built_is_well_set(tmp_path, level, paper):
    """The ordinary run has books that ``test_page_design.py`` has engraved."""
    for plan, pages in built(paper, [level], DEALT[:1]):
        written(tmp_path, plan, pages, paper)
        data = (tmp_path / "workbook.pdf").read_bytes()
        assert list(setting_faults(read(tmp_path), data, read_pages(data))) == []


def test_names_that_cannot_be_set_otherwise_are_no_faults(tmp_path):
    """An accent without a letter, or over a narrow one, hangs over the margin; a long word ends
    where it ends.
    """
    names = ["\u0332 \u060c2147483648", ".\u0304", "1" + "0" * 50, f"ab {'0' * 30}", "x" * 90]
    rows = [{"student": name, "template": "tiny", "keys": "C major"} for name in names]
    workbook.build(
        rows, tmp_path / "out", template_dir=Path(__file__).parents[1] / "builds/templates"
    )
    assert list(workbook.check(tmp_path / "out")) == []
