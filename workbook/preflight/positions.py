"""Checks positions: pages, key codes, numbers, boxes, answers, both faces in register.

In: a record, and the pages of its two PDFs as read by ``pdf.content``. Out: findings.
Takes milliseconds, so every build runs it.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterator
from functools import lru_cache
from itertools import chain
from math import inf
from operator import sub

from workbook import design
from workbook.design import HANDS
from workbook.exercises.labels import prompt_says_nothing
from workbook.inputs.messages import quoted
from workbook.pdf.content import PageContent, Rect, Words
from workbook.preflight.expected import Expected, ExpectedBlank
from workbook.preflight.record_faults import listed
from workbook.typesetting.text import width

_HAIR = 0.02
"""Tolerance in points: ``key.json`` rounds to 0.01, the PDF to 0.001."""
_NEAR = 0.5
"""Tolerance in points for the place of a label beside its number."""
_POINTS = "/ "
"""How the points of an item begin, on the line of its number."""
WRITTEN = "-written"
"""Suffix of forms that only the answer key has: the music that the student writes."""

Faults = Iterator[tuple[int, str]]
"""(page, what is wrong); page 0 for the whole file."""


def face_faults(record: Expected, pages: list[PageContent], answered: bool) -> Faults:
    """(page, what is wrong) in the workbook, or in the answer key if ``answered``."""
    last = max((blank.page for blank in record.blanks), default=0)
    if len(pages) < last:
        yield 0, f"it has {len(pages)} pages; key.json has blanks on page {last}"
    for number, page in enumerate(pages, 1):
        if any(abs(a - b) > _HAIR for a, b in zip(page.size, record.paper.whole)):
            yield number, f"the page measures {page.size}, not {record.paper.whole} points"
        yield from foot_faults(record, number, len(pages), page)
        yield from _beyond(number, page)
        yield from _numbers(number, page, record)
        yield from _boxes(number, page, record, answered)


def foot_faults(record: Expected, number: int, count: int, page: PageContent) -> Faults:
    """(page, what is missing) in the footer of page ``number`` of ``count``."""
    texts = {words.text for words in page.words}
    if record.code not in texts:
        yield number, f"the key code {record.code} is not on this page"
    if f"page {number} of {count}" not in texts:
        yield number, f'"page {number} of {count}" is not on this page'


def _beyond(number: int, page: PageContent) -> Faults:
    """Words that do not begin on the paper: the first of them, and what to do."""
    width, height = page.size
    for (x, y), text in page.words:
        if not (0 <= x <= width and 0 <= y <= height):
            what = f"{quoted(text)} is not on the page: there is no room for so much text;"
            yield number, f"{what} shorten the title or the instructions, or choose a smaller size"
            return


def register_faults(workbook: list[PageContent], answer_key: list[PageContent]) -> Faults:
    """(page, what is wrong) where the answer key differs in more than the answers."""
    if len(workbook) != len(answer_key):
        yield 0, f"it has {len(answer_key)} pages; the workbook has {len(workbook)}"
    for number, (blank, answered) in enumerate(zip(workbook, answer_key), 1):
        if blank.size != answered.size:
            yield number, "the page's size differs from the workbook's"
        printed = [form for form in answered.forms if not form[0].endswith(WRITTEN)]
        if any(name.endswith(WRITTEN) for name, _ in blank.forms):
            yield number, "the workbook shows music that the student is to write"
        elif blank.forms != printed:
            yield number, "the music, or its position, differs from the workbook's"
        written = {
            (name.removesuffix(WRITTEN), matrix)
            for name, matrix in answered.forms
            if name.endswith(WRITTEN)
        }
        names = {name for name, _ in written}
        if written != {form for form in printed if form[0] in names}:
            yield number, "the music to write is not on its staff"
        if blank.boxes != answered.boxes:
            yield number, "the positions of the boxes differ from the workbook's"
        if blank.lines != answered.lines:
            yield number, "the positions of the lines differ from the workbook's"
        missing = _missing(blank.words, answered.words)
        if missing:
            texts = listed(words.text for words in missing)
            yield number, f"texts of the workbook are missing or have moved: {texts}"


def _missing(words: list[Words], among: list[Words]) -> Counter[Words]:
    """The words that are not ``among`` others, which stand in the same order as a rule."""
    left = iter(among)
    return Counter() if all(one in left for one in words) else Counter(words) - Counter(among)


def _numbers(page: int, drawn: PageContent, record: Expected) -> Faults:
    """Check the numbers at the left of the items' labels, in drawing order."""
    scale = record.paper.scale
    numbers: dict[float, list[tuple[float, str]]] = {}
    for (x, y), text in drawn.words:
        if text.isdigit():
            numbers.setdefault(y, []).append((x, text))
    found: dict[tuple[float, float], str] = {}
    labels: dict[float, list[tuple[float, float, str]]] = {}
    near, begins = _NEAR * scale, record.initials | {_POINTS[0]}
    for (x, y), text in drawn.words:
        # answers in digits stand beside one another, and few prompts begin with one
        if y not in numbers or text.lstrip()[:1] not in begins:
            continue
        if text.startswith(_POINTS):
            # the label says nothing and may be left out
            left, number = max(one for one in [(0.0, ""), *numbers[y]] if one[0] < x)
            if prompt_says_nothing(record.prompts.get(number, "")):
                found[y, left] = number
        some = labels[y] = labels.get(y) or _labels(numbers[y], scale)
        beside = some[bisect_right(some, (x - near, inf)) : bisect_left(some, (x + near,))]
        if not beside:
            continue
        left, number = max((left, one) for _, left, one in beside)
        label, prompt = " ".join(text.split()), record.prompts.get(number, "")
        # a long label continues on the next line
        if label and prompt.startswith(label):
            found[y, left] = number
    wanted = [str(item.number) for item in record.items if item.page == page]
    if [*found.values()] != wanted:
        told = f"the exercises are numbered {listed(found.values())}; key.json has {listed(wanted)}"
        yield page, told


def _labels(numbers: list[tuple[float, str]], scale: float) -> list[tuple[float, float, str]]:
    """Where the labels of ``numbers`` may begin, each with the left end of its number."""
    return sorted((left + to * scale, left, one) for left, one in numbers for to in _to_label(one))


@lru_cache
def _to_label(number: str) -> tuple[float, ...]:
    """Points from the left end of an item's number to its label, for the hands of ``design``."""
    return tuple(
        width(number, "bold", size) + design.NUMBER_GAP
        for size in {hand.text for hand in HANDS.values()}
    )


def _boxes(page: int, drawn: PageContent, record: Expected, answered: bool) -> Faults:
    """Check the number and position of the boxes and the text inside them."""
    blanks = [blank for blank in record.on(page) if not blank.drawn]
    if len(drawn.boxes) != len(blanks):
        yield page, f"{len(drawn.boxes)} boxes are drawn; key.json has {len(blanks)}"
    yield from _misplaced(page, drawn.boxes, blanks, record)
    lines = sorted((at[1], at[0], text) for at, text in drawn.words)
    rows: dict[tuple[float, float], tuple[list[float], list[str]]] = {}
    for blank in blanks:
        x0, y0, x1, y1 = blank.rect
        row = rows.get((y0, y1))
        if row is None:
            here = slice(bisect_left(lines, (y0,)), bisect_right(lines, (y1, inf)))
            at = sorted((x, text) for _, x, text in lines[here])
            row = rows[y0, y1] = [x for x, _ in at], [text for _, text in at]
        lefts, texts = row
        found = ""
        if lefts:
            found = "".join(texts[bisect_left(lefts, x0) : bisect_right(lefts, x1)])
        wanted = blank.answer if answered else ""
        if found != wanted and _close(found) != _close(wanted):
            if wanted and _in_lines(lines, blank.rect) == _close(wanted):
                continue
            yield page, in_box(blank.name, _close(found), _close(wanted))
    if answered:
        yield from _written(page, drawn, record)


def _in_lines(lines: list[tuple[float, float, str]], rect: Rect) -> str:
    """The texts in a box, line by line, without spaces; ``lines`` are in ascending order."""
    x0, y0, x1, y1 = rect
    here = lines[bisect_left(lines, (y0,)) : bisect_right(lines, (y1, inf))]
    inside = sorted((-y, x, text) for y, x, text in here if x0 <= x <= x1)
    return _close("".join(text for *_, text in inside))


def _misplaced(
    page: int, boxes: list[Rect], blanks: list[ExpectedBlank], record: Expected
) -> Faults:
    """Check the places of the boxes: as a rule, they are drawn in the order of the blanks, and
    both faces have the same.
    """
    wanted = [blank.rect for blank in blanks]
    if len(boxes) == len(wanted):
        if boxes == record.in_place.get(page) or _all_same(boxes, wanted):
            record.in_place[page] = boxes
            return
        if _all_same(sorted(boxes, key=_corner), sorted(wanted, key=_corner)):
            return
    boxes = sorted(boxes)
    for blank in blanks:
        if not _is_drawn(blank.rect, boxes):
            yield page, f"no box is drawn where blank {blank.name} is: {blank.rect}"


def _written(page: int, drawn: PageContent, record: Expected) -> Faults:
    """Check that the answer key shows the music to write."""
    # an exercise may be drawn line by line, and come twice
    written = len({name for name, _ in drawn.forms if name.endswith(WRITTEN)})
    answers: dict[str, tuple[str, ...]] = {}
    for blank in (one for one in record.on(page) if one.drawn):
        item = blank.name.split(".")[0]
        answers[item] = (*answers.get(item, ()), blank.answer)
    exercises = len({*answers.values()})
    if written < exercises:
        yield page, f"{written} exercises show music to write; key.json has {exercises}"


def _corner(rect: Rect) -> tuple[int, int]:
    """The lower left corner in whole points, by which boxes nearly alike are sorted alike."""
    return round(rect[0]), round(rect[1])


def _is_drawn(rect: Rect, boxes: list[Rect]) -> bool:
    """Whether one of the sorted ``boxes`` is where ``rect`` is."""
    x = rect[0]
    near = slice(bisect_left(boxes, (x - _HAIR,)), bisect_right(boxes, (x + _HAIR, inf)))
    return any(_same(box, rect) for box in boxes[near])


def _close(text: str) -> str:
    """The text without any spaces."""
    return "".join(text.split())


def _all_same(some: list[Rect], others: list[Rect]) -> bool:
    """Whether each of as many rectangles is where the other is."""
    away = map(abs, map(sub, chain.from_iterable(some), chain.from_iterable(others)))
    return all(map(_HAIR.__ge__, away))


def _same(one: Rect, other: Rect) -> bool:
    a, b, c, d = one
    e, f, g, h = other
    return (
        abs(a - e) <= _HAIR and abs(b - f) <= _HAIR and abs(c - g) <= _HAIR and abs(d - h) <= _HAIR
    )


def in_box(name: str, found: str, wanted: str) -> str:
    """The message for a box that holds ``found`` where ``wanted`` should be."""
    held = f'holds "{found}"' if found else "is empty"
    right = f'the answer is "{wanted}"' if wanted else "it must be empty"
    return f"box {name} {held}; {right}"
