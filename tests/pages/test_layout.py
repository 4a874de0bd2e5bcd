"""Page design: nothing split, no lone heading, nothing below the foot, no picture over another."""

import re
from dataclasses import replace
from itertools import pairwise
from random import Random

import pytest
from asked import Request

from workbook import resources
from workbook.design import HANDS, PAPERS, SIZES
from workbook.engraving.engrave import engrave
from workbook.engraving.snippet import STAFF_SPACE
from workbook.exercises.families import FAMILIES, KINDS
from workbook.exercises.model import Slot
from workbook.marking import accepted
from workbook.music.keys import TWELVE_MAJOR, TWELVE_MINOR, parse_key
from workbook.pages.columns import frames, hand_of
from workbook.pages.elements import Box, Entry, Panel, Picture, Rule, Start, Text
from workbook.pages.flow import Block, fill, paginate
from workbook.pages.layout import SPARE, _staves, lay_out, lay_out_slip, lay_out_study
from workbook.pages.paper import Paper
from workbook.planning.dealing import plan
from workbook.planning.plan import Item, Plan, PlannedSection
from workbook.planning.study import SHARES, study
from workbook.studio.roster import Row, read_roster
from workbook.studio.template_model import Template
from workbook.studio.templates import available, read_template
from workbook.typesetting import figured, text

MEASURED = {("normal", "letter"): 4, ("normal", "half-letter"): 7, ("extra-large", "letter"): 7}
"""Of how many templates the suite measures one on these papers; ``-m sweep`` measures all."""

LAID_OUT = (
    Paper("letter"),
    Paper("a5"),
    Paper("a4", "large", punched=True),
    Paper("letter", "extra-large", punched=True),
)
"""Every size, a wide and a narrow paper, with a margin for holes and without."""


EVERY_LOOK = (*map(Paper, PAPERS), *(Paper("letter", size, True) for size in SIZES))


@pytest.fixture(
    scope="module",
    params=[
        pytest.param((LAID_OUT, len(LAID_OUT)), id="some"),
        pytest.param((EVERY_LOOK, 1), id="every", marks=pytest.mark.sweep),
    ],
)
def books(request):
    """Each workbook of the demo on one of a few papers, or on every one."""
    papers, step = request.param
    plans = [plan(row, "") for row in read_roster(resources.shipped() / "demo" / "roster.csv")]
    books = []
    for number, paper in enumerate(papers):
        some = plans[(number + 1) % step :: step]
        items = [item for one in some for item in one.drawn]
        snippets = dict(
            zip(
                map(id, items),
                engrave(
                    [item.exercise for item in items],
                    frames=[frame for one in some for frame in frames(one, paper)],
                ),
            )
        )
        books += [
            (one, paper, lay_out(one, {i.number: snippets[id(i)] for i in one.drawn}, paper))
            for one in some
        ]
    return books


def test_every_item_is_there_once_in_order(books):
    for one, paper, pages in books:
        pictures = [m for page in pages for m in page.elements if isinstance(m, Picture)]
        drawn = [
            (m.number, line)
            for m in pictures
            for line in m.snippet.lines
            if not m.band or (m.band[0] <= line[0] and line[1] <= m.band[1])
        ]
        whole = {m.number: m.snippet.lines for m in pictures}
        assert sorted(drawn) == sorted((number, line) for number in whole for line in whole[number])
        assert [n for n in whole if n > 0] == [item.number for item in one.items]
        numbers = [
            m.text
            for page in pages
            for m in page.elements
            if isinstance(m, Text)
            and (m.face, m.size) == ("bold", HANDS[hand_of(one, paper)].text * paper.scale)
            and m.text.isdigit()
        ]
        assert numbers == [str(item.number) for item in one.items]


def test_a_heading_has_an_exercise_below_it_on_its_page(books):
    for _, paper, pages in books:
        for page in pages:
            for index, element in enumerate(page.elements):
                if isinstance(element, Entry):
                    after = [m for m in page.elements[index:] if isinstance(m, Box)]
                    title = page is pages[0] and index == 0
                    # where an exercise fills a page of large print, its heading stands before
                    tall = paper.size == "extra-large" and not after
                    assert title or tall or (after and after[0].rect[3] < element.y)


def area(element):
    low, high = element.band or (0.0, element.snippet.height)
    return (
        element.x,
        element.y + element.scale * low,
        element.x + element.scale * element.snippet.width,
        element.y + element.scale * high,
    )


def test_nothing_runs_into_the_foot_or_over_the_margin(books):
    for _, paper, pages in books:
        _, height = paper.whole
        for index, page in enumerate(pages):
            shift = (18 if index % 2 == 0 else -18) if paper.punched else 0
            for element in page.elements:
                if isinstance(element, Picture):
                    x0, y0, x1, y1 = area(element)
                    assert y0 >= paper.bottom * paper.scale - 0.01 and y1 < height
                    # a brace hangs out to the left
                    assert (paper.left - 8) * paper.scale + shift <= x0, x0
                    assert x1 <= (paper.right + 2) * paper.scale + shift, x1
                elif isinstance(element, Box):
                    assert paper.left * paper.scale + shift <= element.rect[0] + 0.01
                    assert element.rect[2] <= paper.right * paper.scale + shift + 0.01


def test_pictures_keep_clear_of_one_another(books):
    for _, _, pages in books:
        for page in pages:
            areas = [area(m) for m in page.elements if isinstance(m, Picture)]
            for i, a in enumerate(areas):
                assert all(
                    a[2] < b[0] or b[2] < a[0] or a[3] < b[1] or b[3] < a[1] for b in areas[i + 1 :]
                )


def test_the_staff_has_one_size_on_all_pages_of_a_book(books):
    for one, paper, pages in books:
        staves = {
            round(m.scale * STAFF_SPACE * 4, 3)
            for s in pages
            for m in s.elements
            if isinstance(m, Picture) and m.snippet.glyphs
        }
        assert staves == {round(HANDS[hand_of(one, paper)].staff * paper.scale, 3)}


def test_every_box_is_drawn_once_at_the_size_of_the_page(books):
    for one, paper, pages in books:
        boxes = [m for s in pages for m in s.boxes]
        assert len(boxes) == sum(len(item.exercise.blanks) for item in one.drawn)
        assert len({(m.number, m.blank.tag) for m in boxes}) == len(boxes)
        least = 6.5 if paper.size == "normal" else 8.0
        assert min(m.rect[2] - m.rect[0] for m in boxes) >= least * 72 / 25.4 - 0.01


def test_two_short_exercises_stand_side_by_side_somewhere(books):
    assert [
        m
        for _, _, pages in books
        for s in pages
        for m in s.elements
        if isinstance(m, Picture) and m.x > 250
    ]


def filled(page, paper):
    """The share of a page's height down to its lowest mark above the foot."""
    foot = (paper.foot + 20) * paper.scale
    lows = [
        area(m)[1]
        if isinstance(m, Picture)
        else m.rect[1]
        if isinstance(m, (Box, Panel))
        else m.y0
        if isinstance(m, Rule)
        else m.y
        for m in page.elements
        if not isinstance(m, Start)
    ]
    low = min(value for value in lows if value > foot) / paper.scale
    return (paper.top - low) / (paper.top - paper.bottom)


@pytest.fixture(scope="module")
def shipped():
    """A workbook of every template in all keys."""
    found = [read_template(path) for path in available().values()]
    keys = TWELVE_MAJOR + TWELVE_MINOR
    return [
        plan(Row("Ada", template, template.keys or keys, "", None, 2), "") for template in found
    ]


@pytest.mark.parametrize(
    "paper, step",
    [
        *(
            pytest.param(Paper(paper, size), step, id=f"{size}-{paper}-some")
            for (size, paper), step in MEASURED.items()
        ),
        *(
            pytest.param(Paper(paper, size), 1, id=f"{size}-{paper}", marks=pytest.mark.sweep)
            for size in SIZES
            for paper in PAPERS
        ),
    ],
)
def test_no_page_is_half_empty(shipped, paper, step):
    """Not the last one, either. In large print, where many a line of music takes two fifths of a
    page, some have spare staves in the rest; in normal size few do."""
    shipped = shipped[::step]
    snippets = iter(
        engrave(
            [item.exercise for one in shipped for item in one.drawn],
            frames=[frame for one in shipped for frame in frames(one, paper)],
        )
    )
    shares, spare = [], 0
    for one in shipped:
        drawn = {item.number: next(snippets) for item in one.drawn}
        pages = lay_out(one, drawn, paper)
        shares += [filled(page, paper) for page in pages]
        spare += sum(
            isinstance(element, Text) and element.text == SPARE
            for page in pages
            for element in page.elements
        )
    print(
        f"\n{len(shares)} pages, the emptiest filled {min(shares):.0%}, "
        f"on average {sum(shares) / len(shares):.0%}; {spare} with spare staves"
    )
    assert min(shares) > (0.7 if paper.size == "normal" else 0.53)
    # on narrow pages, a second exercise often does not fit below the first
    assert spare <= (0.45 if paper.narrow else 0.1) * len(shares)


def test_what_a_short_workbook_leaves_of_its_page_has_spare_staves():
    """Staves of the size of the music, clear of the margins and of the exercise."""
    paper, kind = Paper("a4"), FAMILIES["arpeggio"]
    one = kind.make(Request(parse_key("C major"), "right", (), settings={}), Random(1))
    book = Plan(
        Row("Ada", Template("t", "T", "", "", ()), (), "T", None, 2),
        "",
        (PlannedSection("A", "Arpeggio", (Item(1, one, 2),)),),
        "ABC-DEF",
    )
    (page,) = lay_out(book, dict(enumerate(engrave([one]), 1)), paper)
    at = next(
        i
        for i, element in enumerate(page.elements)
        if isinstance(element, Text) and element.text == SPARE
    )
    lines = [element for element in page.elements[at:] if isinstance(element, Rule)][
        :-1
    ]  # not the foot's
    music = min(area(element)[1] for element in page.elements if isinstance(element, Picture))
    assert lines and len(lines) % 5 == 0 and page.elements[at].y < music
    assert {
        round(a.y0 - b.y0, 2)
        for staff in range(0, len(lines), 5)
        for a, b in zip(lines[staff : staff + 4], lines[staff + 1 : staff + 5])
    } == {round(STAFF_SPACE * paper.scale, 2)}
    assert min(line.y0 for line in lines) >= paper.bottom * paper.scale
    assert filled(page, paper) > 0.8
    assert SPARE not in [
        element.text
        for page in lay_out_study(
            replace(book, row=replace(book.row, keys=(one.key,))),
            dict(enumerate(engrave([one]), 1)),
            paper,
        )
        for element in page.elements
        if isinstance(element, Text)
    ]


@pytest.mark.parametrize("level", ("level-01", "level-10"))
@pytest.mark.parametrize("faded", (0, 100))
def test_a_study_page_takes_two_sheets_at_most(level, faded):
    """Printed on both sides; the one exercise of a section has its label in the heading."""
    paper, template = Paper("letter"), read_template(available()[level])
    one = study(template, parse_key("Db major"), faded)
    snippets = engrave([item.exercise for item in one.items], frames=frames(one, paper))
    pages = lay_out_study(one, dict(enumerate(snippets, 1)), paper)
    assert len(pages) <= 4
    texts = [m for page in pages for m in page.elements if isinstance(m, Text)]
    for page in pages:  # key, level and name on every page
        said = [m.text for m in page.elements if isinstance(m, Text)]
        assert "Name" in said and any("D♭ major" in t for t in said)
        assert any(one.title in t for t in said)
    for section in one.sections:
        (at,) = (m.y for m in texts if m.text == section.title)
        labels = [m for m in texts if m.text == section.items[0].exercise.label]
        assert any(m.y == at or m.size in (11, 12) for m in labels)
        tasks = [m.text for m in texts if m.face == "regular" and m.size in (11, 12)]
        task = section.items[0].exercise.task
        exercises = [item.exercise for item in section.items]
        dashes = any(blank.answer == "–" for one in exercises for blank in one.blanks)
        assert (task[:20] in "".join(t[:20] for t in tasks)) == (
            dashes or any(one.asked for one in exercises)
        )


@pytest.mark.parametrize(
    "paper", [Paper("letter", "large"), Paper("half-letter"), Paper("a5", "extra-large")]
)
@pytest.mark.parametrize("key", ["E major", "F# minor", "C# minor"])
def test_every_study_page_has_a_line_for_the_name(paper, key):
    one = study(read_template(available()["level-01"]), parse_key(key), 50)
    snippets = engrave([item.exercise for item in one.items], frames=frames(one, paper))
    pages = lay_out_study(one, dict(enumerate(snippets, 1)), paper)
    assert len(pages) > 1
    for page in pages:
        said = [m.text for m in page.elements if isinstance(m, Text)]
        assert any("Level 1" in one for one in said)
        (name,) = (m for m in page.elements if isinstance(m, Text) and m.text == "Name")
        lines = [
            m
            for m in page.elements
            if isinstance(m, Rule) and m.y0 == m.y1 and 0 < name.y - m.y0 < 5 * paper.scale
        ]
        right = paper.right * paper.scale
        assert [round(m.x1 - right, 2) for m in lines] == [0.0]
        assert lines[0].x1 - lines[0].x0 > 108  # 1.5 inches


@pytest.mark.parametrize("paper", [Paper("letter"), Paper("a5", "extra-large")])
def test_what_stands_over_spare_staves_keeps_to_the_margins(paper):
    found = _staves(paper, paper.top)
    texts = [m for m in found if isinstance(m, Text)]
    assert " ".join(m.text for m in texts) == SPARE
    for one in texts:
        assert one.x + text.width(one.text, one.face, one.size) <= paper.right
    assert min(m.y for m in texts) > max(m.y0 for m in found if isinstance(m, Rule)) + STAFF_SPACE


def only_page(made, paper=Paper("letter")):
    """The page of a workbook of one section."""
    book = Plan(
        Row("Ada", Template("t", "T", "", "", ()), (), "T", None, 2),
        "",
        (PlannedSection("A", "Keys", tuple(Item(n, one, 2) for n, one in enumerate(made, 1))),),
        "ABC-DEF",
    )
    snippets = engrave(made, frames=frames(book, paper))
    (page,) = lay_out(book, dict(enumerate(snippets, 1)), paper)
    return page


@pytest.mark.parametrize("count, columns", [(2, 2), (3, 3), (4, 2), (5, 3), (6, 3), (7, 2)])
def test_the_shortest_exercises_stand_three_in_a_row_if_none_is_left_over(count, columns):
    kind, asked = FAMILIES["key-signatures"], ("major", "minor")
    keys = ("Db major", "E major", "B minor", "C# major", "Ab major", "F minor", "D major")
    made = [
        kind.make(Request(parse_key(key), "right", asked, settings={"task": "name"}), Random(1))
        for key in keys[:count]
    ]
    page = only_page(made)
    lefts = sorted({round(e.x) for e in page.elements if isinstance(e, Picture)})
    assert len(lefts) == columns
    ends = [
        round(e.x + e.scale * (e.snippet.width - 1))
        for e in page.elements
        if isinstance(e, Picture)
    ]
    assert len(set(ends)) == columns and max(ends) == 567
    assert all(after - end >= 34 for end, after in zip(sorted(set(ends)), lefts[1:]))
    room = Paper("letter").column_of(columns)
    for box in page.boxes:  # inside its own column
        left = max(x for x in lefts if x <= box.rect[0])
        assert box.rect[2] <= left + room


def test_keyboards_stand_in_one_place():
    """At the left edge of their column, with their boxes below, whatever is marked."""
    made = [
        FAMILIES["keyboard-names"].make(
            Request(parse_key(key), "right", ("note",), settings={"shape": "scale"}), Random(1)
        )
        for key in ("C major", "A minor", "B minor", "F major")
    ]
    paper = Paper("letter")
    page = only_page(made, paper)
    pictures = [e for e in page.elements if isinstance(e, Picture)]
    assert {round(e.x, 2) for e in pictures} == {paper.left, paper.left + 279}
    for one in pictures:
        x0, _, x1, _ = one.snippet.slots[Slot("keys", "right", 0)]
        assert x0 == 1
        boxes = sorted(b.rect for b in page.boxes if b.number == one.number)
        assert boxes[0][0] >= one.x and boxes[-1][2] <= one.x + one.scale * (x1 + 1)
        assert all(b[0] - a[2] >= 3 for a, b in pairwise(boxes))


def test_a_label_that_only_names_the_clef_is_left_out():
    made = [
        FAMILIES["chord-building"].make(Request(parse_key("G major"), hand, ("notes",)), Random(1))
        for hand in ("right", "left")
    ]
    texts = [e.text for e in only_page(made).elements if isinstance(e, Text)]
    assert made[0].label == "Treble clef" and "1" in texts and "Treble clef" not in texts


def test_a_label_that_only_repeats_the_task_is_left_out():
    for name, label in (
        ("signs", "Signs"),
        ("term-matching", "Words of music"),
        ("circle-of-fifths", "Circle of fifths"),
    ):
        kind = FAMILIES[name]
        made = kind.make(Request(parse_key("C major"), "right", kind.asks), Random(1))
        texts = [e.text for e in only_page([made]).elements if isinstance(e, Text)]
        assert made.label == label and "1" in texts and label not in texts


@pytest.mark.parametrize("family", ["term-matching", "term-meanings"])
@pytest.mark.parametrize("paper", [Paper("letter"), Paper("a5")])
def test_words_in_a_grid_stand_at_the_left_and_their_boxes_fill_the_measure(family, paper):
    kind = FAMILIES[family]
    made = kind.make(Request(parse_key("C major"), "right", kind.asks), Random(1))
    boxes = only_page([made], paper).boxes
    words = [box for box in boxes if not box.framed]
    assert words and all(box.flush for box in words)
    assert min(box.rect[0] for box in words) == pytest.approx(paper.left, abs=2)
    assert max(box.rect[2] for box in boxes) == pytest.approx(paper.right, abs=2)
    starts = sorted({round(box.rect[0], 1) for box in words})
    assert len({round(b - a) for a, b in pairwise(starts)}) <= 1


def test_printed_texts_beside_music_have_the_room_of_their_column():
    kind = FAMILIES["chord-building"]
    made = [kind.make(Request(parse_key("F# minor"), "right", ("notes",)), Random(1))]
    texts = sorted(
        (box.rect, box.blank.answer, box.size)
        for box in only_page(made).boxes
        if box.blank.asks == "triad"
    )
    assert len({size for _, _, size in texts}) == 1 and texts[0][2] > 10
    ends = [
        (middle - wide / 2, middle + wide / 2)
        for (x0, _, x1, _), answer, size in texts
        for middle, wide in [((x0 + x1) / 2, figured.width(answer, "words", "regular", size))]
    ]
    assert all(start - end > 6 for (_, end), (start, _) in pairwise(ends))


def test_a_time_is_not_set_as_figures():
    """6/4 among the words of a rhythm's label."""
    kind = FAMILIES["rhythm-copying"]
    for seed in range(40):
        made = kind.make(
            Request(
                parse_key("C major"),
                "right",
                kind.asks,
                settings={"metre": "compound", "values": "eighths"},
            ),
            Random(seed),
        )
        if "6/4" in made.label:
            break
    (label,) = (e for e in only_page([made]).elements if isinstance(e, Text) and "6/4" in e.text)
    assert [read for _, read in figured.pieces(label.text, label.grammar)] == [""]


def test_the_boxes_of_two_exercises_in_a_row_are_level():
    """And so are their staves."""
    kind = FAMILIES["key-signatures"]
    made = [
        kind.make(
            Request(parse_key("Db major"), hand, ("major", "minor"), settings={"task": "name"}),
            Random(1),
        )
        for hand in ("right", "left")
    ]
    page = only_page(made)
    tops = [{round(b.rect[3], 2) for b in page.boxes if b.number == n} for n in (1, 2)]
    assert tops[0] == tops[1] and len(tops[0]) == 2
    assert len({m.x for m in page.elements if isinstance(m, Picture)}) == 2


def test_the_study_pages_of_a_key_are_one_sheet():
    """Whatever is taken out of them, all stands at its place."""
    paper, template = Paper("letter"), read_template(available()["level-05"])
    found = set()
    for share in SHARES:
        one = study(template, parse_key("Bb major"), share)
        snippets = engrave([item.exercise for item in one.items], frames=frames(one, paper))
        pages = lay_out_study(one, dict(enumerate(snippets, 1)), paper)
        found.add(
            tuple(
                (number, element.number, round(element.x), round(element.y))
                for number, page in enumerate(pages)
                for element in page.elements
                if isinstance(element, Picture)
            )
        )
    assert len(found) == 1


def blocks(*heights, **options):
    return [Block((), float(height), **options) for height in heights]


def sizes(some, room):
    return [len(paper) for paper in fill(some, room)]


def test_pages_are_few_and_filled_alike():
    assert sizes(blocks(*[10] * 12, stretch=10), 100) == [6, 6]
    assert sizes(blocks(*[10] * 10), 100) == [10]
    assert sizes(blocks(60, 60, 60), 100) == [1, 1, 1]
    assert sizes(blocks(500, 10), 100) == [1, 1]
    assert fill([], 100) == []


def test_nothing_goes_overleaf_that_fits_into_the_space_left_free():
    assert sizes(blocks(*[10] * 12), 100) == [10, 2]
    assert sizes(blocks(*[10] * 12, stretch=2), 100) == [8, 4]
    kept = [*blocks(30, 30), *blocks(20, keep=True), *blocks(30)]
    assert sizes(kept, 100) == [2, 2] and sizes(kept, 110) == [4]


def test_white_at_the_ends_of_a_page_is_lost():
    assert sizes(blocks(40, 40, above=10, below=10), 100) == [2]
    assert sizes(blocks(40, 41, above=10, below=10), 100) == [1, 1]


def test_a_page_gives_some_white_to_hold_more():
    some = blocks(40, 40, 40, above=20)
    assert sizes(some, 150) == [2, 1] and sizes(blocks(40, 40, 40, above=20, shrink=5), 150) == [3]


def test_a_block_that_is_kept_has_the_next_one_on_its_page():
    some = [*blocks(40, 40), *blocks(15, keep=True), *blocks(30)]
    assert [[b.height for b in paper] for paper in fill(some, 100)] == [[40, 40], [15, 30]]
    assert sizes(blocks(40, 40, 40, keep=True), 100) == [2, 1]  # higher than a page


def test_a_page_ends_where_a_section_does_if_that_costs_little():
    some = [*blocks(*[60] * 6), *blocks(60, opens=True), *blocks(*[60] * 4)]
    assert sizes(some, 400) == [6, 5]


def test_an_exercise_is_torn_only_by_its_height():
    line = Block((), 200.0, within=True, repeated_height=20.0)
    assert sizes([*blocks(430, 200), line], 696) == [1, 2]
    assert sizes([*blocks(300, 240), line, *blocks(300)], 696) == [1, 2, 1]  # the first page
    assert sizes([*blocks(600, 300, 240), line, *blocks(300)], 696) == [1, 1, 2, 1]
    assert sizes([*blocks(450), line, line], 696) == [2, 1]  # higher than a page
    assert sizes([*blocks(130, 60), line], 696) == [3]  # all fits on the first page


def test_room_to_spare_goes_before_what_takes_it():
    paper = Paper("letter")
    element = (Rule(0, 0, 9, 0),)
    (page,) = paginate(
        [
            Block(element, 300.0),
            Block(element, 100.0, stretch=64),
            Block(element, 50.0, stretch=20, within=True),
            Block(element, 100.0, stretch=64),
        ],
        paper,
    )
    heights = [element.y0 for element in page.elements]
    assert heights[0] == paper.top and heights[0] - heights[1] == 300 + 64
    assert heights[1] - heights[2] == 100 + 20


def test_a_full_page_is_not_higher_than_its_room():
    paper = Paper("letter")
    (page,) = paginate(
        [
            Block((Rule(0, 0, 9, 0), Rule(0, -100, 9, -100)), 100.0, above=20, shrink=5)
            for _ in range(6)
        ],
        paper,
    )
    assert min(element.y0 for element in page.elements) == pytest.approx(paper.bottom)
    assert [b.y0 - a.y1 for a, b in zip(page.elements[1::2], page.elements[2::2])] == (
        pytest.approx([-20.0] * 5)
    )


def other_fingers(count):
    """An exercise with so many fingers, each with two others to accept."""
    kind = FAMILIES["scale-fingering"]
    made = kind.make(Request(parse_key("C major"), "both", kind.asks), Random(1))
    blanks = tuple(b._replace(also=("2", "3"), why="thumb under after 3") for b in made.blanks)
    return replace(
        made, blanks=tuple(b._replace(also=()) if n >= count else b for n, b in enumerate(blanks))
    )


@pytest.mark.parametrize("name", ("all-skills", "level-06"))
def test_the_answer_key_says_what_else_is_accepted(shipped, name):
    one = next(plan for plan in shipped if plan.row.template.name == name)
    paper, exercises = Paper("letter"), [item.exercise for item in one.drawn]
    snippets = engrave(exercises, frames=frames(one, paper))
    pages = lay_out(one, dict(enumerate(snippets, 1)), paper)
    told = " ".join(
        m.text
        for page in pages
        for m in page.elements
        if isinstance(m, Text) and m.only == "answer key"
    )
    wanted = [
        words
        for exercise in exercises
        for words in map(accepted.others, accepted.box_rows(exercise.asked).values())
        if words
    ]
    assert len(wanted) >= 3 and all(words in told for words in wanted)


@pytest.mark.parametrize("count", (0, 1, 3, 9, 30))
@pytest.mark.parametrize("size", SIZES)
def test_all_accepted_fingers_are_listed_inside_the_margins(count, size):
    paper, exercise = Paper("letter", size), other_fingers(count)
    template = Template("t", "T", "", "", ())
    book = Plan(
        Row("Ada", template, (), "T", None, 2),
        "",
        (PlannedSection("A", "Scales", tuple(Item(n, exercise, 2) for n in range(1, 5))),),
        "ABC-DEF",
    )
    (snippet,) = engrave([exercise], frames=frames(book, paper)[:1])
    pages = lay_out(book, dict.fromkeys(range(1, 5), snippet), paper)
    for page in pages:
        told = [m for m in page.elements if isinstance(m, Text) and m.only and m.face == "regular"]
        for element in told:
            assert (
                element.x + text.width(element.text, "regular", element.size)
                <= paper.right * paper.scale + 0.01
            )
            assert element.y > paper.bottom * paper.scale
            assert all(
                not area(m)[1] < element.y < area(m)[3]
                for m in page.elements
                if isinstance(m, Picture) and area(m)[0] < element.x + 20 < area(m)[2]
            )
    said = " ".join(
        m.text
        for s in pages
        for m in s.elements
        if isinstance(m, Text) and m.only and m.face == "regular"
    )
    listed = [
        number
        for some in re.findall(r"notes? ((?:\d+, )*\d+): 2 or 3", said.replace("\u00a0", " "))
        for number in some.split(", ")
    ]
    assert len(listed) == 4 * min(count, len(exercise.blanks)) and "…" not in said


@pytest.mark.parametrize(
    ("family", "key", "settings"),
    [
        ("inversions", "C major", {}),
        ("seventh-chords", "A minor", {}),
        ("progression", "G# minor", {"numerals": "I IV V7 I"}),
        ("progression", "C major", {"numerals": "I V7/V V7 I"}),
        ("inversion-figures", "E major", {}),
    ],
)
def test_short_answers_have_the_size_of_the_hand(family, key, settings):
    kind = FAMILIES[family]
    exercise = kind.make(Request(parse_key(key), "right", kind.asks, settings=settings), Random(1))
    page, _ = lay_out_slip(exercise, *engrave([exercise]))
    assert {box.size for box in page.boxes} == {HANDS["middle"].answer}
    assert max(len(box.blank.answer) for box in page.boxes) > 2


def test_answers_of_a_kind_have_one_size_and_fit():
    for family, settings in (
        ("scale-degrees", {}),
        ("cadences", {}),
        ("triad-quality", {}),
        ("inversion-figures", {"sevenths": True}),
    ):
        kind = FAMILIES[family]
        exercise = kind.make(
            Request(parse_key("Cb major"), "right", kind.asks, settings=settings), Random(3)
        )
        page, _ = lay_out_slip(exercise, *engrave([exercise]))
        sizes = {}
        for box in page.boxes:
            sizes.setdefault(box.blank.asks, set()).add(box.size)
            grammar = KINDS[box.blank.asks].figured
            wide = figured.width(box.blank.answer, grammar, "bold", box.size)
            assert wide <= box.rect[2] - box.rect[0]
        assert all(len(found) == 1 and found.pop() >= 9 for found in sizes.values())
