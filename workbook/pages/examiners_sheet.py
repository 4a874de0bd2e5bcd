"""The examiner's sheet: what a student plays, with boxes to mark and the worked answer beside.

In: a plan of worked exercises and their snippets. Out: pages, and where the boxes of each task
stand.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from workbook import design
from workbook.design import (
    DEFAULT_HAND,
    EXAMINER_BESIDE,
    EXAMINER_GAP,
    EXAMINER_HEAD,
    EXAMINER_INDENT,
    EXAMINER_LABEL,
    EXAMINER_LEADING,
    EXAMINER_MUSIC,
    EXAMINER_PITCH,
    EXAMINER_REMARK,
    EXAMINER_SECTION,
    EXAMINER_SHARE,
    EXAMINER_TITLE,
    HANDS,
)
from workbook.engraving.frame import Frame, lead
from workbook.engraving.snippet import STAFF_SPACE, Rect, Snippet
from workbook.pages.elements import (
    ARTIFACT,
    DOCUMENT,
    Element,
    Entry,
    Group,
    Page,
    Panel,
    Rule,
    Start,
    Text,
)
from workbook.pages.footer import footer
from workbook.pages.item import item_parts, music, score
from workbook.pages.paper import Paper
from workbook.pages.section import points
from workbook.planning.plan import Item, Plan, PlannedSection
from workbook.typesetting import text

ASPECTS = ("notes", "fingering", "steadiness")
"""What is marked of each task, a box for each."""
_HAND = HANDS[DEFAULT_HAND]
_SIDE = _HAND.box * design.MM
"""Points: the side of a box, and from one box to the next."""
TITLE = "Examiner’s sheet"
_BESIDE = f"Boxes to mark: {', '.join(ASPECTS)}. A line for a remark."

Places = dict[int, list[tuple[int, Rect]]]
"""The page and rectangle of each box of a task, by its number."""


@dataclass
class _Sheet:
    """Pages being laid out; ``y`` is where the next row begins."""

    plan: Plan
    paper: Paper
    pages: list[Page] = field(default_factory=list)
    places: Places = field(default_factory=dict)
    y: float = 0.0

    def room(self, height: float) -> None:
        """Begin a new page unless ``height`` is left on this one."""
        if self.pages and self.y - height >= self.paper.bottom:
            return
        self.pages.append(Page(_head(self.plan, self.paper, first=not self.pages)))
        self.y = self.paper.top - EXAMINER_HEAD


def lay_out_examiners_sheet(
    plan: Plan, snippets: Mapping[int, Snippet], paper: Paper
) -> tuple[list[Page], Places]:
    """The pages of a sheet at normal print size, and the places of its boxes in points."""
    sheet = _Sheet(plan, paper)
    for section in plan.sections:
        group = Group("Sect", DOCUMENT)
        for index, item in enumerate(section.items):
            _row(sheet, section, item, snippets[item.number], group, first=index == 0)
    count = len(sheet.pages)
    for number, page in enumerate(sheet.pages, 1):
        page.elements += footer(paper, plan, f"page {number} of {count}", "")
    pages = [paper.finished(page, index) for index, page in enumerate(sheet.pages)]
    return pages, sheet.places


def _head(plan: Plan, paper: Paper, *, first: bool) -> list[Element]:
    student = plan.row.student
    name = text.shorten(f"{TITLE}: {student}", "bold", EXAMINER_TITLE, paper.right - paper.left)
    left = paper.right - len(ASPECTS) * EXAMINER_PITCH
    return [
        Entry(name, paper.top),
        Start(DOCUMENT, "H1") if first else Start(ARTIFACT),
        Text(paper.left, paper.top - 18, name, "bold", EXAMINER_TITLE),
        Start(DOCUMENT, "P") if first else Start(ARTIFACT),
        Text(paper.left, paper.top - 36, plan.row.title, "regular", design.TEXT),
        Start(ARTIFACT),
        Text(paper.left, paper.top - 56, "Task and worked answer", "regular", design.QUIET),
        *(
            Text(
                left + EXAMINER_PITCH * index + _SIDE / 2,
                paper.top - 56,
                name,
                "regular",
                design.QUIET,
                "center",
            )
            for index, name in enumerate(ASPECTS)
        ),
        Rule(paper.left, paper.top - 61, paper.right, paper.top - 61, 0.9),
    ]


def _row(
    sheet: _Sheet,
    section: PlannedSection,
    item: Item,
    snippet: Snippet,
    group: Group,
    *,
    first: bool,
) -> None:
    paper = sheet.paper
    answer, height = _worked(item, snippet)
    left = paper.right - len(ASPECTS) * EXAMINER_PITCH
    start = paper.left + EXAMINER_INDENT
    label = text.wrap(item.exercise.label, "regular", design.TEXT, left - start - EXAMINER_BESIDE)
    below = EXAMINER_LABEL + EXAMINER_LEADING * (len(label) - 1)
    height = max(height + below, _SIDE + EXAMINER_REMARK + 8) + EXAMINER_GAP
    sheet.room(height + EXAMINER_SECTION * first)
    page, y = sheet.pages[-1], sheet.y
    if first:
        name = f"{section.letter}   {section.title}"
        page.elements += [
            Start(group, "H2"),
            Text(paper.left, y - 20, name, "bold", design.HEADING),
            Start(group, "P", alt=points(section.points)),
            *score(
                paper.right,
                y - 20,
                f"{section.points}",
                design.TEXT,
                "bold",
                design.SECTION_RULE,
            ),
        ]
        y -= EXAMINER_SECTION
    parts = item_parts(item, group, sheet.plan.row.template.naming)
    page.elements += [
        Start(parts.whole, "P"),
        Text(paper.left, y - 12, f"{item.number}", "bold", design.TEXT),
        *(
            Text(start, y - 12 - EXAMINER_LEADING * number, line, "regular", design.TEXT)
            for number, line in enumerate(label)
        ),
        Start(parts.music),
        *(one.moved(start, y - below) for one in answer),
    ]
    top = y - 4
    for index in range(len(ASPECTS)):
        x = left + EXAMINER_PITCH * index
        rect = x, top - _SIDE, x + _SIDE, top
        page.elements.append(Panel(rect, None, _HAND.line, _HAND.corner))
        sheet.places.setdefault(item.number, []).append((len(sheet.pages), rect))
    page.elements += [
        Start(parts.whole, "P", alt=_BESIDE),
        Text(left, top - _SIDE - 18, "Remark", "regular", design.QUIET),
        Rule(left + 40, top - _SIDE - 20, paper.right, top - _SIDE - 20, 0.5),
        Rule(paper.left, y - height + 4, paper.right, y - height + 4, 0.3),
    ]
    sheet.y = y - height


def played_frames(plan: Plan, paper: Paper) -> list[Frame]:
    """The frame of each worked answer of a plan, in its order."""
    width = (paper.measure * EXAMINER_SHARE - EXAMINER_INDENT) / (EXAMINER_MUSIC * _HAND.space)
    return [Frame(round(width, 3), lead([item.exercise])) for item in plan.items]


def _worked(item: Item, snippet: Snippet) -> tuple[list[Element], float]:
    """The small music with its answers, its top and its left end at 0, and its height."""
    scale = _HAND.space / STAFF_SPACE
    elements = [
        one.enlarged(EXAMINER_MUSIC)
        for one in music(item, snippet, 0.0, 0.0, scale, DEFAULT_HAND)
        if not isinstance(one, Text)  # what the rows are is plain to the examiner
    ]
    height = snippet.height * scale * EXAMINER_MUSIC
    return [one.moved(0.0, -height) for one in elements], height
