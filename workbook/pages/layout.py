"""Page design: where every line, number, snippet and box of a workbook stands.

In: a plan and a snippet per exercise. Out: sheets of marks in points from the
lower left corner. Workbook and answer key are two faces of the same sheets, so
nothing can stand elsewhere on one than on the other.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from workbook.engraving.rows import box
from workbook.engraving.snippet import Rect, Snippet
from workbook.exercises.model import Blank, Exercise
from workbook.pages import text
from workbook.studio.plan import Item, Plan, PlannedSection

PAPERS = {"letter": (612.0, 792.0), "a4": (595.276, 841.89)}
MARGIN, TOP, BOTTOM, FOOT = 52.0, 46.0, 58.0, 34.0
GUTTER = 30.0
"""Room for the item number, left of the label and the music."""
CAUTION = ("Stop if your hand hurts. What your teacher says about your own hand comes first.")

MARKING = ("A way to mark: one point off an exercise for each wrong box, never below 0. "
           "Accept other fingerings that are sound.")


@dataclass(frozen=True)
class Text:
    x: float
    y: float
    text: str
    face: str = "regular"
    size: float = 10.5
    align: str = "left"
    only: str = ""
    """"workbook" or "answer key": the face that prints it; empty for both."""


@dataclass(frozen=True)
class Rule:
    x0: float
    y0: float
    x1: float
    y1: float
    width: float = 0.6


@dataclass(frozen=True)
class Picture:
    x: float
    y: float
    snippet: Snippet


@dataclass(frozen=True)
class Box:
    """A blank at its place; ``number`` is its item."""

    rect: Rect
    blank: Blank
    number: int


@dataclass
class Sheet:
    """One page: marks in the order of drawing, outline entries, boxes."""

    marks: list = field(default_factory=list)
    outline: list[tuple[str, float]] = field(default_factory=list)

    @property
    def boxes(self) -> list[Box]:
        return [mark for mark in self.marks if isinstance(mark, Box)]


class _Flow:
    """Fills sheets from the top down; a block never splits."""

    def __init__(self, size: tuple[float, float]):
        self.width, self.height = size
        self.sheets = [Sheet()]
        self.y = self.height - TOP

    @property
    def sheet(self) -> Sheet:
        return self.sheets[-1]

    @property
    def right(self) -> float:
        return self.width - MARGIN

    def room(self, height: float) -> None:
        """Go to a new page unless ``height`` points are left on this one."""
        if self.y - height < BOTTOM and self.sheet.marks:
            self.sheets.append(Sheet())
            self.y = self.height - TOP

    def add(self, *marks) -> None:
        self.sheet.marks.extend(marks)


def lay_out(plan: Plan, snippets: dict[int, Snippet], paper: str) -> list[Sheet]:
    """The sheets of one workbook; ``snippets`` by item number."""
    flow = _Flow(PAPERS[paper])
    _title(flow, plan)
    for section in plan.sections:
        _section(flow, section, snippets)
    for index, sheet in enumerate(flow.sheets):
        _foot(flow, sheet, plan, index + 1, len(flow.sheets))
    return flow.sheets


def lay_out_slip(exercise: Exercise, snippet: Snippet) -> tuple[Sheet, tuple[float, float]]:
    """One exercise alone on a sheet just large enough, and that sheet's size in points."""
    item = Item(1, exercise, sum(not blank.given for blank in exercise.blanks))
    height = _height(item, {1: snippet}, "")
    size = (PAPERS["letter"][0], height + TOP)
    flow = _Flow(size)
    flow.y = height + TOP / 2
    _item(flow, item, snippet, "", height)
    return flow.sheet, size


def _paragraph(flow: _Flow, words: str, face: str, size: float, lead: float,
               indent: float = 0) -> None:
    for line in text.wrap(words, face, size, flow.right - MARGIN - indent):
        flow.room(lead)
        flow.y -= lead
        flow.add(Text(MARGIN + indent, flow.y, line, face, size))


def _title(flow: _Flow, plan: Plan) -> None:
    row = plan.row
    flow.sheet.outline.append((row.title, flow.height))
    flow.add(Text(flow.right, flow.y - 12, "ANSWER KEY", "bold", 12, "right", "answer key"))
    for line in text.wrap(row.title, "bold", 22, flow.right - MARGIN - 100):
        flow.y -= 26
        flow.add(Text(MARGIN, flow.y, line, "bold", 22))
    flow.y -= 6
    _paragraph(flow, row.student, "regular", 15, 20)
    flow.y -= 2
    _paragraph(flow, "Keys: " + ", ".join(key.text for key in row.keys), "regular", 10.5, 14)
    if row.template.instructions:
        flow.y -= 2
        for words in row.template.instructions.split("\n"):
            _paragraph(flow, words, "italic", 10.5, 14)
    if any(b.asks == "finger" for item in plan.items for b in item.exercise.blanks):
        _paragraph(flow, CAUTION, "italic", 9, 13)
    flow.y -= 13
    flow.add(Text(MARGIN, flow.y, MARKING, "italic", 9, only="answer key"))
    flow.y -= 22
    flow.add(Text(MARGIN, flow.y, "Date"), Rule(MARGIN + 30, flow.y - 2, MARGIN + 190, flow.y - 2))
    flow.y -= 14
    _score_table(flow, plan)
    flow.y -= 16


def _score_table(flow: _Flow, plan: Plan) -> None:
    lead, x0, x1 = 18.0, MARGIN, flow.right
    flow.room(lead * (len(plan.sections) + 2))
    columns = (x0 + 6, x0 + 300, x1 - 6)
    lines = [("Section", "Items", "Score", "bold")]
    for section in plan.sections:
        numbers = [item.number for item in section.items]
        span = f"{numbers[0]}–{numbers[-1]}" if len(numbers) > 1 else f"{numbers[0]}"
        lines.append((f"{section.letter}   {section.title}", span,
                      str(section.points), "regular"))
    lines.append(("Total", "", str(plan.points), "bold"))
    flow.add(Rule(x0, flow.y, x1, flow.y, 0.9))
    for first, middle, last, face in lines:
        flow.y -= lead
        name = text.shorten(first, face, 10.5, columns[1] - columns[0] - 10)
        flow.add(Text(columns[0], flow.y + 5.5, name, face),
                 Text(columns[1], flow.y + 5.5, middle, face),
                 *_score(columns[2], flow.y + 5.5, last, face),
                 Rule(x0, flow.y, x1, flow.y, 0.4))


def _score(x: float, y: float, points: str, face: str = "regular", before: str = ""
           ) -> list[Text]:
    """A line for the score and the points to reach, slashes under one another."""
    if not points.isdigit():
        return [Text(x, y, points, face, align="right")]
    return [Text(x - 22, y, f"{before}______ /", face, align="right"),
            Text(x, y, points, face, align="right")]


def _section(flow: _Flow, section: PlannedSection, snippets: dict[int, Snippet]) -> None:
    shared = section.items[0].exercise.task
    task = text.wrap(shared, "italic", 11, flow.right - MARGIN)
    head = 30 + 15 * len(task)
    flow.room(head + _height(section.items[0], snippets, shared))
    flow.y -= 22
    flow.sheet.outline.append((f"{section.letter}  {section.title}", flow.y + 18))
    heading = text.shorten(f"{section.letter}   {section.title}", "bold", 14,
                           flow.right - MARGIN - 110)
    flow.add(Text(MARGIN, flow.y, heading, "bold", 14),
             *_score(flow.right, flow.y, str(section.points), before="Score  "),
             Rule(MARGIN, flow.y - 5, flow.right, flow.y - 5, 0.9))
    flow.y -= 8
    for line in task:
        flow.y -= 15
        flow.add(Text(MARGIN, flow.y, line, "italic", 11))
    for item in section.items:
        flow.room(_height(item, snippets, shared))
        _item(flow, item, snippets[item.number], shared, _height(item, snippets, shared))
    flow.y -= 10


def _height(item: Item, snippets: dict[int, Snippet], shared: str) -> float:
    extra = 14 * len(_own_task(item, shared))
    return 8 + 18 + extra + 7 + snippets[item.number].height + 14


def _own_task(item: Item, shared: str) -> list[str]:
    """The lines of the item's task where it is not the one under the heading."""
    if item.exercise.task == shared:
        return []
    return text.wrap(item.exercise.task, "italic", 10.5, PAPERS["a4"][0] - 2 * MARGIN - GUTTER)


def _item(flow: _Flow, item: Item, snippet: Snippet, shared: str, height: float) -> None:
    bottom = flow.y - height
    flow.y -= 8 + 16
    x = MARGIN + GUTTER
    flow.add(Text(MARGIN, flow.y, f"{item.number}", "bold", 14),
             Text(x, flow.y, item.exercise.label, "regular", 11),
             *_score(flow.right, flow.y, str(item.points)))
    for line in _own_task(item, shared):
        flow.y -= 14
        flow.add(Text(x, flow.y, line, "italic", 10.5))
    y = bottom + 14
    flow.add(Picture(x, y, snippet))
    accepted = _also(item.exercise)
    if accepted:
        flow.add(Text(x, bottom + 4, text.shorten(accepted, "italic", 8.5, flow.right - x),
                      "italic", 8.5, only="answer key"))
    _row_labels(flow, item, snippet, x, y)
    for blank in item.exercise.blanks:
        cell = snippet.slots[f"{blank.asks}.{blank.hand}.{blank.column}"]
        x0, y0, x1, y1 = box(blank, cell)
        flow.add(Box((x + x0, y + y0, x + x1, y + y1), blank, item.number))
    flow.y = bottom


def _also(exercise: Exercise) -> str:
    """Other fingers to accept, by hand and place: ``"right hand also note 1: 2"``."""
    parts = []
    for hand, word in (("right", "right hand"), ("left", "left hand")):
        notes = [f"note {b.column + 1}: {' or '.join(b.also)}" for b in exercise.blanks
                 if b.asks == "finger" and b.hand == hand and b.note is None
                 and b.also and not b.given]
        if notes:
            parts.append(f"{word} also " + ", ".join(notes))
    return "; ".join(parts)


def _row_labels(flow: _Flow, item: Item, snippet: Snippet, x: float, y: float) -> None:
    """Names the rows at their left where an exercise has more than one kind."""
    kinds = {(blank.asks, blank.hand) for blank in item.exercise.blanks}
    if len({asks for asks, _ in kinds}) < 2:
        return
    first = min(blank.column for blank in item.exercise.blanks)
    for asks, hand in sorted(kinds):
        _, y0, _, y1 = snippet.slots[f"{asks}.{hand}.{first}"]
        flow.add(Text(x - 2, y + (y0 + y1) / 2 - 2.5, asks, "italic", 8.5, "right"))


def _foot(flow: _Flow, sheet: Sheet, plan: Plan, page: int, pages: int) -> None:
    middle = flow.width / 2
    name = text.shorten(f"{plan.row.student}  ·  {plan.row.title}", "regular", 9,
                        middle - MARGIN - 50)
    sheet.marks += [
        Rule(MARGIN, FOOT + 13, flow.right, FOOT + 13, 0.4),
        Text(MARGIN, FOOT, name, "regular", 9),
        Text(middle, FOOT, f"page {page} of {pages}", "regular", 9, "center"),
        Text(flow.right - 90, FOOT, "Answer key", "bold", 9, "right", "answer key"),
        Text(flow.right, FOOT, plan.code, "regular", 9, "right")]
