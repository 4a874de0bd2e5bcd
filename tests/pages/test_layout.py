"""Page design: nothing split, no lone heading, nothing below the foot, no picture over another."""

from random import Random

import pytest
from conftest import DEMO

from workbook.engraving.engrave import engrave
from workbook.exercises import FAMILIES, Request
from workbook.music.keys import parse_key
from workbook.pages import text
from workbook.pages.flow import PAPERS, SIZES, Block, Page, fill, place
from workbook.pages.layout import lay_out, lay_out_slip
from workbook.pages.marks import Box, Entry, Picture, Rule, Text
from workbook.studio.plan import plan
from workbook.studio.roster import read_roster


@pytest.fixture(scope="module")
def books():
    plans = [plan(row, "") for row in read_roster(DEMO)]
    items = [item for one in plans for item in one.items]
    books = []
    for page in [*map(Page, PAPERS), *(Page("letter", size, True) for size in SIZES)]:
        snippets = dict(zip(map(id, items), engrave([item.exercise for item in items],
                                                    line_width=page.line_width)))
        books += [(one, page, lay_out(one, {i.number: snippets[id(i)] for i in one.items}, page))
                  for one in plans]
    return books


def test_every_item_is_there_once_in_order(books):
    for one, page, sheets in books:
        pictures = [m for sheet in sheets for m in sheet.marks if isinstance(m, Picture)]
        lines = sum(len(m.snippet.lines) if m.band else 1 for m in
                    {id(m.snippet): m for m in pictures}.values())
        assert len(pictures) >= len(one.items) and lines <= len(pictures)
        numbers = [m.text for sheet in sheets for m in sheet.marks if isinstance(m, Text)
                   and (m.face, m.size) == ("bold", 14 * page.scale) and m.text.isdigit()]
        assert numbers == [str(item.number) for item in one.items]


def test_a_heading_has_an_exercise_below_it_on_its_page(books):
    for _, page, sheets in books:
        for sheet in sheets:
            for index, mark in enumerate(sheet.marks):
                if isinstance(mark, Entry):
                    after = [m for m in sheet.marks[index:] if isinstance(m, Box)]
                    title = sheet is sheets[0] and index == 0
                    # where an exercise fills a page of large print, its heading stands before
                    tall = page.size == "extra-large" and not after
                    assert title or tall or (after and after[0].rect[3] < mark.y)


def area(mark):
    low, high = mark.band or (0.0, mark.snippet.height)
    return (mark.x, mark.y + mark.scale * low, mark.x + mark.scale * mark.snippet.width,
            mark.y + mark.scale * high)


def test_nothing_runs_into_the_foot_or_over_the_margin(books):
    for _, page, sheets in books:
        width, height = page.whole
        for index, sheet in enumerate(sheets):
            shift = (18 if index % 2 == 0 else -18) if page.punched else 0
            for mark in sheet.marks:
                if isinstance(mark, Picture):
                    x0, y0, x1, y1 = area(mark)
                    assert y0 >= page.bottom * page.scale - 0.01 and y1 < height
                    assert 52 + shift <= x0 and x1 <= width - 52 + shift + 0.01, (x0, x1)
                elif isinstance(mark, Box):
                    assert 52 + shift <= mark.rect[0] and mark.rect[2] <= width - 52 + shift


def test_pictures_keep_clear_of_one_another(books):
    for _, _, sheets in books:
        for sheet in sheets:
            areas = [area(m) for m in sheet.marks if isinstance(m, Picture)]
            for i, a in enumerate(areas):
                assert all(a[2] < b[0] or b[2] < a[0] or a[3] < b[1] or b[3] < a[1]
                           for b in areas[i + 1:])


def test_the_staff_has_one_size_on_all_pages_of_a_book(books):
    for _, page, sheets in books:
        scales = {m.scale for s in sheets for m in s.marks
                  if isinstance(m, Picture) and "keyboard" not in str(m.snippet.slots)}
        assert scales == {page.scale}


def test_every_box_is_drawn_once_at_the_size_of_the_page(books):
    for one, page, sheets in books:
        boxes = [m for s in sheets for m in s.boxes]
        assert len(boxes) == sum(len(item.exercise.blanks) for item in one.items)
        assert len({(m.number, m.blank.slot) for m in boxes}) == len(boxes)
        assert min(m.rect[2] - m.rect[0] for m in boxes) >= page.scale * 5 * 72 / 25.4


def test_two_short_exercises_stand_side_by_side_somewhere(books):
    assert [m for _, _, sheets in books for s in sheets for m in s.marks
            if isinstance(m, Picture) and m.x > 250]


def test_no_page_of_a_normal_book_is_half_empty(books):
    """The lowest mark above the foot stands in the lower half, the last page too."""
    for _, page, sheets in books:
        if page.size == "normal":
            for sheet in sheets[1:] or sheets:
                low = min(area(m)[1] for m in sheet.marks if isinstance(m, Picture))
                assert low < page.whole[1] / 2


def blocks(*heights, **options):
    return [Block((), float(height), **options) for height in heights]


def test_pages_are_few_and_filled_alike():
    assert [len(some) for some in fill(blocks(*[10] * 12), 100)] == [6, 6]
    assert [len(some) for some in fill(blocks(*[10] * 10), 100)] == [10]
    assert [len(some) for some in fill(blocks(60, 60, 60), 100)] == [1, 1, 1]
    assert [len(some) for some in fill(blocks(500, 10), 100)] == [1, 1]
    assert fill([], 100) == []


def test_a_block_that_is_kept_has_the_next_one_on_its_page():
    some = [*blocks(40, 40), *blocks(15, keep=True), *blocks(30)]
    assert [[b.height for b in page] for page in fill(some, 100)] == [[40, 40], [15, 30]]


def test_a_page_ends_where_a_section_does_if_that_costs_little():
    some = [*blocks(*[60] * 6), *blocks(60, opens=True), *blocks(*[60] * 4)]
    assert [len(page) for page in fill(some, 400)] == [6, 5]


def test_room_to_spare_goes_before_what_may_move():
    page = Page("letter")
    sheet, = place([Block((Rule(0, 0, 9, 0),), 300.0)] + [
        Block((Rule(0, 0, 9, 0),), 100.0, moves=True) for _ in range(2)], page)
    heights = [mark.y0 for mark in sheet.marks]
    assert heights[0] == page.top and heights[0] - heights[1] == 300 + 56


def test_answers_of_a_kind_have_one_size_and_fit():
    for family, settings in (("scale-degrees", {}), ("cadences", {}), ("triad-quality", {}),
                             ("inversion-figures", {"sevenths": True})):
        kind = FAMILIES[family]
        exercise = kind.make(Request(parse_key("Cb major"), "right", kind.asks,
                                     settings=settings), Random(3))
        sheet, _ = lay_out_slip(exercise, *engrave([exercise]))
        sizes = {}
        for box in sheet.boxes:
            sizes.setdefault(box.blank.asks, set()).add(box.size)
            assert text.width(box.blank.answer, "bold", box.size) <= box.rect[2] - box.rect[0]
        assert all(len(found) == 1 and found.pop() >= 9 for found in sizes.values())
