"""Page design: where every line, number, snippet and box of a workbook stands.

In: a plan and a snippet per exercise. Out: sheets of marks in points from the
lower left corner. Workbook and answer key are two faces of the same sheets, so
nothing can stand elsewhere on one than on the other.
"""

from __future__ import annotations

from workbook.engraving.snippet import Snippet
from workbook.exercises.model import Exercise
from workbook.pages import text
from workbook.pages.flow import FOOT, MARGIN, PAPERS, TOP, Flow
from workbook.pages.item import item_height, item_marks, may_share_a_row, score
from workbook.pages.marks import Entry, Rule, Sheet, Text
from workbook.studio.plan import Item, Plan, PlannedSection

CAUTION = "Stop if your hand hurts. What your teacher says about your own hand comes first."
MARKING = ("A way to mark: one point off an exercise for each wrong box, never below 0. "
           "Accept other fingerings that are sound.")
_BETWEEN = 18.0
"""Points between two exercises side by side."""


def lay_out(plan: Plan, snippets: dict[int, Snippet], paper: str) -> list[Sheet]:
    """The sheets of one workbook; ``snippets`` by item number."""
    flow = Flow(PAPERS[paper])
    _title(flow, plan)
    for section in plan.sections:
        _section(flow, section, snippets)
    for index, sheet in enumerate(flow.sheets):
        _foot(flow, sheet, plan, index + 1, len(flow.sheets))
    return flow.sheets


def lay_out_slip(exercise: Exercise, snippet: Snippet) -> tuple[Sheet, tuple[float, float]]:
    """One exercise alone on a sheet just large enough, and that sheet's size in points."""
    item = Item(1, exercise, sum(not blank.given for blank in exercise.blanks))
    width = PAPERS["letter"][0]
    height = item_height(item, snippet, "", width - 2 * MARGIN)
    marks = item_marks(item, snippet, "", MARGIN, width - MARGIN, height + TOP / 2)
    return Sheet(marks), (width, height + TOP)


def _paragraph(flow: Flow, words: str, face: str, size: float, lead: float,
               indent: float = 0) -> None:
    for line in text.wrap(words, face, size, flow.right - MARGIN - indent):
        flow.room(lead)
        flow.y -= lead
        flow.add(Text(MARGIN + indent, flow.y, line, face, size))


def _title(flow: Flow, plan: Plan) -> None:
    row = plan.row
    flow.add(Entry(row.title, flow.height))
    flow.add(Text(flow.right, flow.y - 12, "ANSWER KEY", "bold", 12, "right", "answer key"))
    for line in text.wrap(row.title, "bold", 22, flow.right - MARGIN - 100):
        flow.y -= 26
        flow.add(Text(MARGIN, flow.y, line, "bold", 22))
    flow.y -= 6
    _paragraph(flow, row.student, "regular", 15, 20)
    flow.y -= 2
    _paragraph(flow, "Keys: " + ", ".join(map(row.template.naming.key, row.keys)), "regular", 10.5, 14)
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


def _score_table(flow: Flow, plan: Plan) -> None:
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
                 *score(columns[2], flow.y + 5.5, last, face),
                 Rule(x0, flow.y, x1, flow.y, 0.4))


def _section(flow: Flow, section: PlannedSection, snippets: dict[int, Snippet]) -> None:
    shared = section.items[0].exercise.task
    task = text.wrap(shared, "italic", 11, flow.right - MARGIN)
    rows = _rows(flow, section, snippets, shared)
    flow.room(30 + 15 * len(task) + _row_height(flow, rows[0], snippets, shared))
    flow.begin()
    flow.y -= 22
    heading = text.shorten(f"{section.letter}   {section.title}", "bold", 14,
                           flow.right - MARGIN - 110)
    flow.add(Entry(f"{section.letter}  {section.title}", flow.y + 18),
             Text(MARGIN, flow.y, heading, "bold", 14),
             *score(flow.right, flow.y, str(section.points), before="Score  "),
             Rule(MARGIN, flow.y - 5, flow.right, flow.y - 5, 0.9))
    flow.y -= 8
    for line in task:
        flow.y -= 15
        flow.add(Text(MARGIN, flow.y, line, "italic", 11))
    for index, row in enumerate(rows):
        height = _row_height(flow, row, snippets, shared)
        flow.room(height)
        if index:
            flow.begin()
        left, width = MARGIN, _column(flow, len(row))
        for item in row:
            flow.add(*item_marks(item, snippets[item.number], shared, left, left + width, flow.y))
            left += width + _BETWEEN
        flow.y -= height
    flow.y -= 10


def _column(flow: Flow, columns: int) -> float:
    return (flow.right - MARGIN - _BETWEEN * (columns - 1)) / columns


def _rows(flow: Flow, section: PlannedSection, snippets: dict[int, Snippet], shared: str
          ) -> list[tuple[Item, ...]]:
    """The items in reading order, two short ones side by side."""
    rows, waiting = [], None
    for item in section.items:
        short = may_share_a_row(item, snippets[item.number], shared, _column(flow, 2))
        if waiting and short:
            rows[-1] += (item,)
            waiting = None
        else:
            rows.append((item,))
            waiting = item if short else None
    return rows


def _row_height(flow: Flow, row: tuple[Item, ...], snippets: dict[int, Snippet], shared: str
                ) -> float:
    return max(item_height(item, snippets[item.number], shared, _column(flow, len(row)))
               for item in row)


def _foot(flow: Flow, sheet: Sheet, plan: Plan, page: int, pages: int) -> None:
    middle = flow.width / 2
    name = text.shorten(f"{plan.row.student}  ·  {plan.row.title}", "regular", 9,
                        middle - MARGIN - 50)
    sheet.marks += [
        Rule(MARGIN, FOOT + 13, flow.right, FOOT + 13, 0.4),
        Text(MARGIN, FOOT, name, "regular", 9),
        Text(middle, FOOT, f"page {page} of {pages}", "regular", 9, "center"),
        Text(flow.right - 90, FOOT, "Answer key", "bold", 9, "right", "answer key"),
        Text(flow.right, FOOT, plan.code, "regular", 9, "right")]
