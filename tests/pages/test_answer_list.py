"""The list of answers and the mark sheet."""

import csv
import io
import re
from dataclasses import replace
from itertools import pairwise
from random import Random

import pytest
from asked import Request

from workbook.design import LIST_ANSWERS, LIST_LABEL, PAPERS
from workbook.engraving.rows import box_rows
from workbook.exercises.families import FAMILIES, KINDS
from workbook.exercises.model import Blank
from workbook.marking.answer_rows import Placed, systems
from workbook.marking.mark_sheet import Marked, mark_sheet
from workbook.music.keys import TWELVE_MAJOR, TWELVE_MINOR, parse_key
from workbook.music.naming import Naming
from workbook.pages.answer_block import ANSWER, item_block, needs, shape_of
from workbook.pages.answer_list import lay_out_answers, listed_on
from workbook.pages.elements import ARTIFACT, DOCUMENT, Box, Group, Page, Rule, Start, Text
from workbook.pages.mark_sheet import lay_out_marks, size
from workbook.pages.paper import Paper
from workbook.planning.dealing import plan
from workbook.planning.plan import Item
from workbook.studio.roster import Row
from workbook.studio.templates import available, read_template
from workbook.typesetting import figured

TEMPLATES = {name: read_template(path) for name, path in available().items()}


def a_plan(name, **more):
    return plan(Row("Ada", TEMPLATES[name], TWELVE_MAJOR + TWELVE_MINOR, "", None, 2), "")


def boxes(item):
    """The blanks of an item in places like those of a page; a break begins a system."""
    exercise, rows = item.exercise, [row.name for row in box_rows(item.exercise)]
    events = exercise.staves[0].events if exercise.staves else ()
    for blank in exercise.blanks:
        system = sum(event.after == "break" for event in events[: blank.column])
        name = f"{blank.asks}.{blank.hand}"
        row = rows.index(name) if name in rows else len(rows)
        x, y = 60 + 20 * blank.column, 700 - 200 * system - 40 * row + 11 * (blank.note or 0)
        yield Box((x, y, x + 12, y + 10), blank, item.number, 14)


def listed(one, paper=Paper("letter")):
    page = Page([box for item in one.items for box in boxes(item)])
    return lay_out_answers(one, [page], paper)


def texts(item, width=243.0):
    """The texts of an item in the list."""
    placed = [Placed(box.blank, 0, box.rect) for box in boxes(item)]
    shape = shape_of(item.exercise, placed)
    before = max(LIST_ANSWERS, needs(item, shape, ANSWER, 522.0).before)
    block = item_block(item, shape, width, before, ANSWER, Group("L", DOCUMENT))
    return [element for element in block.elements if isinstance(element, Text)]


def lines(item, width=243.0):
    """The lines of an item in the list: texts at one height, from left to right."""
    found = {}
    for text in texts(item, width):
        found.setdefault(text.y, []).append(text.text)
    return [" ".join(texts) for texts in found.values()]


def made(name, key="C major", hand="right", given=0, ask=None, **settings):
    family = FAMILIES[name]
    request = Request(parse_key(key), hand, ask or family.asks, given, settings=settings)
    return Item(1, family.make(request, Random(1)), 5)


@pytest.mark.parametrize("name", TEMPLATES)
@pytest.mark.parametrize("paper", PAPERS)
def test_all_answers_are_listed_in_order_within_the_margins(name, paper):
    one = a_plan(name)
    pages = listed(one, Paper(paper))
    paper = listed_on(Paper(paper))
    lefts = {paper.left, paper.left + (paper.right - paper.left + 36) / 2}
    numbers = [
        m.text
        for page in pages
        for m in page.elements
        if isinstance(m, Text) and m.x in lefts and m.text.isdigit()
    ]
    assert numbers == [str(item.number) for item in one.items]
    for page in pages:
        texts = [m for m in page.elements if isinstance(m, Text)]
        assert {m.size for m in texts} <= {30, 16, 14, 11, 10.5, 9}
        for m in texts:
            wide = figured.width(m.text, m.grammar, m.face, m.size)
            x = m.x - wide * {"left": 0, "center": 0.5, "right": 1}[m.align]
            assert x >= paper.left - 0.1 and x + wide <= paper.right + 0.1, m
            assert m.y >= paper.bottom or m.y == paper.foot
        # nothing runs into its neighbour
        for one_text in texts:
            for other in texts:
                if one_text.y == other.y and one_text.x < other.x and other.align != "center":
                    end = one_text.x + figured.width(
                        one_text.text, one_text.grammar, one_text.face, one_text.size
                    )
                    assert one_text.align != "left" or other.align != "left" or end <= other.x


def test_fingers_stand_in_groups_as_the_hand_moves():
    """The groups of the scales are those of every table: 123 1234, and so on."""
    scale = made("scale-fingering", octaves=1, forms="major")
    assert lines(scale) == ["1 right 1 2 3 1 2 3 4 5 4 3 2 1 3 2 1"]
    digits = [text for text in texts(scale) if text.face == "bold"]
    steps = [round(b.x - a.x, 1) for a, b in pairwise(digits)]
    assert steps == [9.5, 9.5, 16.3, *[9.5] * 8, 16.3, 9.5, 9.5]


def test_each_system_has_a_line_and_says_where_it_goes():
    scale = made("scale-fingering", octaves=2, hand="both", forms="major")
    exercise, (right, left) = scale.exercise, scale.exercise.staves
    turn = len(right.events) // 2
    broken = [
        replace(
            staff,
            events=tuple(
                event._replace(after="break") if n == turn else event._replace(after="")
                for n, event in enumerate(staff.events)
            ),
        )
        for staff in (right, left)
    ]
    scale = replace(scale, exercise=replace(exercise, staves=tuple(broken)))
    assert [line.removeprefix("1 ") for line in lines(scale)] == [
        "right 1 2 3 1 2 3 4 1 2 3 1 2 3 4 5",
        "left 30–44 5 4 3 2 1 3 2 1 4 3 2 1 3 2 1",
        "right 16–29 4 3 2 1 3 2 1 4 3 2 1 3 2 1",
        "left 45–58 2 3 1 2 3 4 1 2 3 1 2 3 4 5",
    ]


def test_what_is_given_stands_in_parentheses_and_keeps_its_place():
    for seed in ("C major", "G major", "F major"):
        five = made("five-finger", seed, given=2)
        (line,) = lines(five)
        _, _, *digits = line.split()
        blanks = five.exercise.blanks
        assert digits == [f"({b.answer})" if b.given else b.answer for b in blanks]
        assert sum(b.given for b in blanks) == 2


@pytest.mark.parametrize("name", ["scale-degrees", "periods", "cadences", "inversion-figures"])
@pytest.mark.parametrize("given", [0, 2])
def test_where_rows_take_turns_a_line_says_which_boxes_it_has(name, given):
    """They are counted as ``mark`` counts them."""
    item = made(name, given=given)
    asked = [blank.answer for blank in item.exercise.asked]
    rows, before, told, seen = {}, 0, 0, []
    for one in texts(item):
        rows.setdefault(one.y, []).append(one)
    for row in rows.values():
        label = next((one.text for one in row if one.x == LIST_LABEL), "")
        answers = [one.text for one in row if one.face == "bold" and one.text[:1] != "("]
        numbers = re.search(r" (\d+)(?:–(\d+))?$", label)
        first = int(numbers[1]) if numbers else before + 1
        assert answers == asked[first - 1 : first - 1 + len(answers)], label
        if numbers:
            assert int(numbers[2] or numbers[1]) == first + len(answers) - 1
            told += 1
        before = first + len(answers) - 1 if answers else before
        seen += range(first, first + len(answers))
        assert any(one.x > LIST_LABEL for one in row), f"{label} has no answers"
    assert sorted(seen) == [*range(1, len(asked) + 1)]
    assert told or seen == sorted(seen)
    assert told or given or name not in ("scale-degrees", "periods")


def test_short_answers_of_a_system_have_one_line():
    item = made("chord-tones")
    breaks = sum(event.after == "break" for event in item.exercise.staves[0].events)
    assert len(lines(item, 522.0)) == breaks + 1
    assert sum(one.face == "bold" for one in texts(item, 522.0)) == len(item.exercise.asked) > 12


def test_a_section_with_a_wide_row_stands_over_the_measure():
    """The rows that fit a column stand in columns, before and after it."""
    one, paper = a_plan("level-05"), Paper("letter")
    column = paper.left + (paper.measure + 36) / 2
    widths = {}
    for page in listed(one, paper):
        head = None
        for element in page.elements:
            if isinstance(element, Text) and element.face == "bold" and element.size == 11:
                head = element.text
            elif isinstance(element, Rule) and head:
                widths[head] = round(element.x1 - element.x0), round(element.x0)
                head = None
    assert widths["Triad quality"] == (522, 45)
    assert widths["Scale fingering"] == (243, 45)
    assert (243, round(column)) in widths.values()


@pytest.mark.parametrize("count", [3, 12])
def test_a_section_that_goes_on_beside_its_heading_has_a_rule_there(count):
    """A few items stand below one another, with the heading over the measure."""
    template = TEMPLATES["all-skills"]
    alone = replace(template, sections=(replace(template.sections[0], count=count),))
    (page,) = listed(plan(Row("Ada", alone, TWELVE_MAJOR, "", None, 2), ""), Paper("letter"))
    rules = [(one.x0, one.x1, one.y0) for one in page.elements if isinstance(one, Rule)]
    texts = [one for one in page.elements if isinstance(one, Text)]
    places = [(one.x, one.y) for one in texts if one.text in {f"{n + 1}" for n in range(count)}]
    left, right = ([y for x, y in places if x == at] for at in (45.0, 324.0))
    assert len(left) + len(right) == count
    top = rules[0][2]
    heads = [(x0, x1) for x0, x1, y in rules if y == top]
    if count == 3:
        assert not right and heads == [(45.0, 567.0)]
    else:
        assert left[0] == right[0] and sorted(heads) == [(45.0, 288.0), (324.0, 567.0)]


def test_each_line_of_words_on_the_page_is_a_line_of_the_list():
    item = made("term-meanings")
    placed = [
        Placed(
            blank, 0, (0.0, 700.0 - 40 * (blank.column // 2), 9.0, 720.0 - 40 * (blank.column // 2))
        )
        for blank in item.exercise.blanks
    ]
    shape = shape_of(item.exercise, placed)
    block = item_block(item, shape, 522.0, 66.0, ANSWER, Group("L", DOCUMENT))
    rows = {}
    for element in block.elements:
        if isinstance(element, Text) and element.face == "bold":
            rows.setdefault(element.y, []).append(element.text)
    answers = [blank.answer for blank in item.exercise.asked]
    assert [*rows.values()] == [answers[:2], answers[2:4], answers[4:]]


def test_a_numeral_stands_under_its_chord():
    progression = made("progression", given=1, ask=("chord", "numeral"), numerals="full")
    rows = {}
    for text in texts(progression):
        if text.face == "bold":
            hang = text.text.startswith("(") * figured.width("(", "", "bold", text.size)
            rows.setdefault(text.y, []).append(round(text.x + hang, 3))
    chords, numerals = rows.values()
    assert chords == numerals and len(chords) == 5
    assert {text.grammar for text in texts(progression) if text.face == "bold"} == {
        "chord",
        "numeral",
    }


def test_usual_answers_are_not_listed_one_by_one():
    repair = made("scale-repair", wrong=2, forms="major")
    wrong = [b for b in repair.exercise.blanks if b.answer != KINDS["repair"].usual]
    said = " ".join(lines(repair))
    assert len(wrong) == 2 and said.endswith("the others OK")
    assert all(f"{b.answer} at note {b.column + 1}," in said for b in wrong)


def test_rows_are_those_of_the_page():
    def placed(asks, column, page, y):
        return Placed(
            Blank(asks, "right", column, None, (), f"{asks}{column}"), page, (0, y, 9, y + 9)
        )

    rows = [placed("finger", n, n // 4, 500 - 100 * (n // 2 % 2)) for n in range(8)]
    rows += [placed("chord", n, n // 4, 550 - 100 * (n // 2 % 2)) for n in (1, 2, 7)]
    found = systems(rows, staved=True)
    assert [
        [(row.asks, [column[0].column for column in row.columns]) for row in system]
        for system in found
    ] == [
        [("chord", [1]), ("finger", [0, 1])],
        [("chord", [2]), ("finger", [2, 3])],
        [("finger", [4, 5])],
        [("chord", [7]), ("finger", [6, 7])],
    ]
    assert len(systems(rows, staved=False)) == 1


def test_what_to_accept_ends_the_list_once():
    one = a_plan("level-10")
    pages = listed(one)
    texts = [m for page in pages for m in page.elements if isinstance(m, Text)]
    (start,) = (n for n, m in enumerate(texts) if m.text == "What to accept")
    said = " ".join(m.text for m in texts[start:])
    for line in one.spellings:
        assert f"{line.printed} {line.others}" in " ".join(said.split()), line
    table = [m for m in texts[start:] if m.size == 10.5]
    assert len(table) >= 2 * len(one.spellings) and {m.face for m in table} == {"regular", "bold"}


def test_a_table_that_goes_on_has_its_columns_and_its_kind_on_each_page():
    one = a_plan("level-08")
    table = []
    for page in listed(one):
        texts = [m for m in page.elements if isinstance(m, Text) and m.y > Paper("letter").foot]
        if "Also right" in [m.text for m in texts]:
            heads = [m for m in texts if m.text in ("Asked for", "Printed", "Also right")]
            assert len({m.y for m in heads}) == 1 and len(heads) == 3
            first = max(m.y for m in texts if m.y < heads[0].y)
            assert len({m.x for m in texts if m.y == first}) == 3, "no kind, or nothing to accept"
            table.append([m.text for m in texts])
    assert len(table) == 2 and table[0][0] == "What to accept"
    assert next(m for m in listed(one)[-1].elements if isinstance(m, Start)).group is ARTIFACT


def test_very_many_answers_take_more_pages():
    template = TEMPLATES["all-skills"]
    longer = replace(template, sections=tuple(replace(s, count=60) for s in template.sections))
    one = plan(Row("Ada", longer, TWELVE_MAJOR, "", None, 2), "")
    paper = Paper("letter")
    pages = listed(one, paper)
    assert len(pages) > 5
    lefts = {paper.left, paper.left + (paper.right - paper.left + 36) / 2}
    numbers = [
        m.text
        for s in pages
        for m in s.elements
        if isinstance(m, Text) and m.x in lefts and m.text.isdigit()
    ]
    assert numbers == [str(n) for n in range(1, 361)]


def test_the_list_is_never_in_large_print():
    large, normal = (
        [[m for m in page.elements if not isinstance(m, Start)] for page in pages]
        for pages in (
            listed(a_plan("level-01"), Paper("a4", "extra-large")),
            listed(a_plan("level-01"), Paper("a4")),
        )
    )
    assert large == normal


BOOKS = [
    Marked("=Ada", "Spring", "AAA-222", (("A", "Scales", 20), ("B", "Chords", 10))),
    Marked("Bo", "Level 3", "BBB-333", (("A", "Scales", 12),)),
]


def test_the_mark_sheet_as_a_table():
    rows = list(csv.reader(io.StringIO(mark_sheet(BOOKS))))
    assert rows[0] == [
        "student",
        "workbook",
        "key code",
        "A",
        "A of",
        "B",
        "B of",
        "total",
        "total of",
    ]
    assert rows[1] == ["'=Ada", "Spring", "AAA-222", "", "20", "", "10", "", "30"]
    assert rows[2] == ["Bo", "Level 3", "BBB-333", "", "12", "", "", "", "12"]


def test_the_mark_sheet_on_paper():
    many = [replace(BOOKS[n % 2], student=f"Student {n}") for n in range(50)]
    for paper in PAPERS:
        width, _height = size(paper)
        pages = lay_out_marks(many, paper)
        texts = [m for s in pages for m in s.elements if isinstance(m, Text)]
        assert [t.text for t in texts if t.text.startswith("Student ")] == [
            f"Student {n}" for n in range(50)
        ]
        assert any("A Scales, B Chords" in t.text for t in texts)
        for page in pages:
            for element in page.elements:
                if isinstance(element, Rule):
                    assert 30 < element.x0 <= element.x1 < width - 30


def test_what_a_block_was_made_from_is_not_kept():
    """Only the block is, which all students share who have the exercise in the same place."""
    one = a_plan("level-04")
    listed(one)
    kept = [made for item in one.items for made in item.exercise.__dict__["_made"]]
    names = {getattr(make[0], "__name__", "") for make in kept if isinstance(make, tuple)}
    assert "_block" in names and "_laid" not in names


def wide_rhythm() -> Item:
    """Eight notes in two bars, most of them sixteenths, whose names are wider than the page."""
    family = FAMILIES["rhythm-copying"]
    settings = {"copy": "halved", "values": "eighths"}
    request = Request(parse_key("C major"), "right", family.asks, settings=settings)
    made = (family.make(request, Random(number)) for number in range(1000))
    return next(
        Item(1, exercise, 5)
        for exercise in made
        if sum(blank.answer == "sixteenth" for blank in exercise.asked) > 5
        and len(exercise.asked) == 8
    )


def test_a_row_that_is_wider_than_the_page_is_broken_at_the_bar():
    item = wide_rhythm()
    first, second = lines(item, 522.0)
    events, blanks = item.exercise.staves[0].events, item.exercise.asked
    bars = [number for number, blank in enumerate(blanks, 1) if events[blank.column].after == "|"]
    assert bars == [len(first.split()) - 1]
    assert [*first.split()[1:], *second.split()] == [blank.answer for blank in blanks]
    assert {text.size for text in texts(item, 522.0) if text.face == "bold"} == {14}


def test_broken_rows_stand_under_each_other_and_say_which_boxes_they_have():
    family = FAMILIES["circle-of-fifths"]
    request = Request(parse_key("C major"), "right", family.asks, naming=Naming("italian"))
    item = Item(1, family.make(request, Random(1)), 5)
    rows = {}
    for text in texts(item, 522.0):
        rows.setdefault(text.y, []).append(text)
    labels = [next(t.text for t in row if t.x == LIST_LABEL) for row in list(rows.values())[:4]]
    assert labels == ["major", "minor 12–16", "major 6–11", "minor 17–22"]
    bold = [[t for t in row if t.face == "bold"] for row in list(rows.values())[:4]]
    places = [
        [round(t.x + t.text.startswith("(") * figured.width("(", "", "bold", 14), 2) for t in row]
        for row in bold
    ]
    assert places == [places[0]] * 4 and len(places[0]) == 6
    label = LIST_LABEL + figured.width(labels[3], "", "regular", 9)
    assert all(row[0].x > label for row in bold)
