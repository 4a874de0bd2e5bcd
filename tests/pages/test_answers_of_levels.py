"""The answers of the ten levels: their rows in the list, their size in the answer key."""

from contextlib import closing
from typing import NamedTuple

import pypdfium2
import pytest

from tests import page_design
from workbook import design
from workbook.exercises.families import KINDS
from workbook.exercises.model import DRAWN, Exercise
from workbook.marking.accepted import box_rows
from workbook.marking.answer_rows import Placed, systems
from workbook.music.naming import LETTERS
from workbook.pages import render
from workbook.pages.answer_list import lay_out_answers
from workbook.pages.elements import Box, Page, Start, Text
from workbook.pages.paper import Paper
from workbook.pdf.content import PageContent
from workbook.planning.plan import Item, Plan
from workbook.preflight.printed import Line, printed
from workbook.typesetting import figured

LEVELS = [f"level-{number:02}" for number in range(1, 11)]


class Book(NamedTuple):
    """A workbook, its pages, and its list of answers."""

    plan: Plan
    pages: list[Page]
    listed: list[Page]


@pytest.fixture(scope="module")
def books():
    """The ten levels on Letter paper."""
    return laid_out(Paper("letter"), page_design.KEYS[:1])


def laid_out(paper: Paper, keys: list[str], letters=None, levels=LEVELS) -> list[Book]:
    return [
        Book(plan, pages, lay_out_answers(plan, pages, paper))
        for plan, pages in page_design.books(paper, levels, keys, letters)
    ]


OTHERS = [letters for letters in LETTERS if letters != "english"]


def lines(listed: list[Page]) -> list[list[list[Text]]]:
    """The lines of each item of a list, without its number, labels and alternatives."""
    found = []
    for page in listed:
        inside, height = False, 0.0
        for one in page.elements:
            if isinstance(one, Start):
                inside = one.role == "LBody"
                if inside:
                    found.append([])
            elif inside and isinstance(one, Text) and one.size > design.QUIET:
                if not found[-1] or one.y != height:
                    found[-1].append([])
                    height = one.y
                found[-1][-1].append(one)
    return found


def rows(exercise: Exercise, placed: list[Placed]) -> list:
    """The rows of boxes of an exercise in which something is asked, system by system."""
    asked = box_rows(exercise.asked)
    here = [one for one in placed if (one.blank.asks, one.blank.hand) in asked]
    return [row for system in systems(here, exercise.figure is None) for row in system]


def check_lines(books: list[Book]) -> int:
    """How many rows of boxes the lists of books have, each of which must have one line."""
    count = 0
    for plan, pages, listed in books:
        said = lines(listed)
        assert len(said) == len(plan.items)
        for item, found in zip(plan.items, said):
            placed = [
                Placed(box.blank, number, box.rect)
                for number, page in enumerate(pages)
                for box in page.boxes
                if box.number == item.number
            ]
            expected = rows(item.exercise, placed)
            told = f"{plan.title}, item {item.number}: {[[t.text for t in line] for line in found]}"
            assert len(found) == len(expected), told
            count += len(expected)
            bold = {text.size for line in found for text in line if text.face == "bold"}
            assert bold <= {design.HEADING}, told
    return count


def test_each_row_of_boxes_has_one_line_in_the_list(books):
    assert check_lines(books) > 350


@pytest.mark.sweep
@pytest.mark.parametrize("name", page_design.EVERY)
def test_each_row_has_one_line_on_every_paper_and_in_every_size(name):
    paper, size, punched, *_ = [*name.split("/"), "", ""]
    assert check_lines(laid_out(Paper(paper, size or "normal", bool(punched)), page_design.KEYS))


SIZE, SMALLER = 14.0, 11.0
"""The least size of an answer in points, and in a list where a row is too wide for the page."""


def check_sizes(books: list[Book], paper: Paper) -> int:
    """How many answers stand in the boxes of answer keys, each of which must be large enough and
    within its box, as read from the finished pages.
    """
    count = 0
    for plan, pages, _ in books:
        ready = [render.Ready(page) for page in pages]
        data = render.render(ready, render.ANSWER_KEY, paper.whole, plan.title, "Wren", False, "")
        with closing(pypdfium2.PdfDocument(data)) as file:
            for page, drawn in zip(pages, file, strict=True):
                lines = printed(drawn, PageContent(paper.whole), paper).lines
                for box in page.boxes:
                    if box.framed and box.blank.asks not in DRAWN:
                        check_size(box, lines, f"{plan.title}, {box.number}: {box.blank.answer}")
                        count += 1
    return count


def check_size(box: Box, lines: list[Line], told: str) -> None:
    """Of numerals and chords, which have smaller figures, only the size that they are set in."""
    assert box.size >= SIZE - 0.01, f"{told}: {box.size} points"
    kind, (x0, y0, x1, y1) = KINDS[box.blank.asks], box.rect
    if kind.figured:
        wide = figured.width(box.blank.answer, kind.figured, "bold", box.size)
        assert wide < x1 - x0, f"{told}: over the edge"
        return
    inside = [one for one in lines if y0 < one.y < y1 and one.x0 < x1 and x0 < one.x1]
    shown = "".join(one.text for one in inside)
    assert shown.replace(" ", "") == box.blank.answer.replace(" ", ""), f"{told}: {inside}"
    assert min(one.size for one in inside) >= SIZE - 0.01, f"{told}: {inside}"
    assert min(one.x0 for one in inside) > x0, f"{told}: over the edge"
    assert max(one.x1 for one in inside) < x1, f"{told}: over the edge"


def test_every_answer_of_the_answer_key_has_14_points(books):
    assert check_sizes(books, Paper("letter")) > 2500


@pytest.mark.sweep
@pytest.mark.parametrize("name", page_design.EVERY)
def test_every_answer_has_14_points_on_every_paper_and_in_every_size(name):
    paper, size, punched, *_ = [*name.split("/"), "", ""]
    paper = Paper(paper, size or "normal", bool(punched))
    assert check_sizes(laid_out(paper, page_design.KEYS), paper)


@pytest.mark.parametrize("letters", ["german", "italian"])
def test_every_answer_has_14_points_with_other_note_names(letters):
    """In the levels with chord names, and keys whose names are long."""
    levels = ["level-05", "level-06", "level-07", "level-10"]
    paper, keys = Paper("letter"), ["Ab major; C# minor"]
    assert check_sizes(laid_out(paper, keys, letters, levels), paper) > 800


@pytest.mark.sweep
@pytest.mark.parametrize("letters", OTHERS)
@pytest.mark.parametrize("name", page_design.EVERY)
def test_every_answer_has_14_points_with_all_note_names_on_every_paper(name, letters):
    paper, size, punched, *_ = [*name.split("/"), "", ""]
    paper = Paper(paper, size or "normal", bool(punched))
    assert check_sizes(laid_out(paper, page_design.KEYS, letters), paper)


def check_wide_rows(books: list[Book], paper: Paper) -> tuple[int, int]:
    """How many items have smaller answers, and how many rows have two lines. Only those do that are
    too wide for the page otherwise. All answers of the lists stay within the margins.
    """
    smaller = broken = 0
    for plan, pages, listed in books:
        said = iter(lines(listed))
        for section in plan.sections:
            every = [(systems_of(item, pages), next(said)) for item in section.items]
            bold = [t for _, found in every for line in found for t in line if t.face == "bold"]
            told = f"{plan.title}, {section.letter}: {[text.text for text in bold]}"
            (size,) = {text.size for text in bold}
            ends = [text.x + width(text) for text in bold if text.align == "left"]
            assert max(ends, default=0.0) <= paper.right + 0.1, told
            room = paper.right - min(text.x + hang(text) for text in bold) + 0.02
            widths = {
                one: max(least(system, one) for parts, _ in every for system in parts)
                for one in (SIZE, SMALLER)
            }
            if size == SMALLER:
                assert widths[SIZE] > room >= widths[SMALLER], told
                smaller += len(every)
            else:
                assert size == SIZE and not widths[SMALLER] <= room < widths[SIZE], told
            for parts, mine in every:
                wide = sum(len(one) for one in parts if least(one, size) > room)
                assert len(mine) == sum(map(len, parts)) + wide, told
                broken += wide
        assert next(said, None) is None
    return smaller, broken


def systems_of(item: Item, pages: list[Page]) -> list[list]:
    """The rows in which something is asked, system by system."""
    asked = box_rows(item.exercise.asked)
    placed = [
        Placed(box.blank, number, box.rect)
        for number, page in enumerate(pages)
        for box in page.boxes
        if box.number == item.number and (box.blank.asks, box.blank.hand) in asked
    ]
    return systems(placed, item.exercise.figure is None)


def least(system: list, size: float) -> float:
    """The width of rows of answers of a size one under the other; 0 for fingers, and where only
    what is not usual is listed.
    """
    kinds = [KINDS[row.asks] for row in system]
    if any(kind.played or kind.usual for kind in kinds):
        return 0.0
    wide: dict[int, float] = {}
    for kind, row in zip(kinds, system):
        for column in row.columns:
            said = "-".join(blank.answer for blank in column)
            if all(blank.given for blank in column):
                said += ")"
            one = figured.width(said, kind.figured, "bold", size)
            at = column[0].column * (len(row.columns) > 1 or len(system) == 1)
            wide[at] = max(wide.get(at, 0.0), one)
    blanks = [blank for row in system for blank in row.blanks]
    parted = any(" " in blank.answer or blank.given for blank in blanks)
    gap = design.LIST_COLUMN_GAP if parted else design.LIST_LEAST_GAP
    return sum(wide.values()) + gap * (len(wide) - 1)


def hang(text: Text) -> float:
    return width(text._replace(text="(")) * text.text.startswith("(")


def width(text: Text) -> float:
    return figured.width(text.text, text.grammar, text.face, text.size)


def test_answers_are_smaller_only_where_a_row_is_too_wide_for_the_page():
    """Circles of fifths, seventh chords, and triads in notes of two and three letters."""
    levels = ["level-05", "level-09", "level-10", "review"]
    paper = Paper("letter")
    books = laid_out(paper, ["Ab major; C# minor"], "italian", levels)
    smaller, broken = check_wide_rows(books, paper)
    assert 2 <= smaller < 10 and not broken


@pytest.mark.sweep
@pytest.mark.parametrize("letters", LETTERS)
@pytest.mark.parametrize("name", ["letter", "a4"])
def test_answers_are_smaller_only_where_a_row_is_too_wide_with_all_note_names(name, letters):
    paper = Paper(name)
    check_wide_rows(laid_out(paper, page_design.KEYS, letters), paper)
