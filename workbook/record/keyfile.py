"""The machine's answer key: ``key.json``, item for item what the pages hold.

In: a plan and its laid-out sheets. Out: JSON text. README describes the fields.
"""

from __future__ import annotations

import json

from workbook.exercises.model import Blank, Exercise
from workbook.music.pitch import scientific
from workbook.pages.elements import Box, Page, Picture
from workbook.pages.paper import Paper
from workbook.planning.plan import Item, Plan


def key_text(plan: Plan, pages: list[Page], paper: Paper) -> str:
    """The answer key of a workbook as JSON, one blank a line, the same bytes each time.

    Pitches are in scientific notation as printed, chords low to high;
    rectangles in points from the page's lower left corner; pages count from 1.
    """
    placed: dict[tuple[int, str], tuple[int, Box]] = {}
    begins: dict[int, int] = {}
    for number, page in enumerate(pages, 1):
        for element in page.elements:
            if isinstance(element, Picture):
                begins.setdefault(element.number, number)
        for box in page.boxes:
            placed[box.number, box.blank.tag] = (number, box)
    head = json.dumps(
        {
            "student": plan.row.student,
            "template": plan.row.template.name,
            "title": plan.row.title,
            "form": plan.form,
            "seed": plan.seed,
            "code": plan.code,
            "paper": paper.name,
            "size": paper.size,
            "points": plan.points,
        },
        ensure_ascii=False,
        indent=1,
    )[:-2]
    items = ",\n".join(_item(item, begins[item.number], placed) for item in plan.items)
    return f'{head},\n "items": [\n{items}\n ]\n}}\n'


def _item(item: Item, page: int, placed: dict[tuple[int, str], tuple[int, Box]]) -> str:
    kind, prompt, answers = item.exercise.once(said)
    blanks = []
    for index, (blank, words) in enumerate(zip(item.exercise.asked, answers), 1):
        at, box = placed[item.number, blank.tag]
        rect = ", ".join([str(round(value, 2)) for value in box.rect])
        blanks.append(f'{{"id": "{item.number}.{index}", {words}, "page": {at}, "rect": [{rect}]}}')
    rows = ",\n   ".join(blanks)
    return (
        f'  {{"number": {item.number}, {kind}, "page": {page}, "points": {item.points}, '
        f'{prompt}, "blanks": [\n   {rows}]}}'
    )


_json = json.JSONEncoder(ensure_ascii=False, check_circular=False).encode


def said(exercise: Exercise) -> tuple[str, str, list[str]]:
    """What is said of an exercise wherever it stands, and of each blank: without braces."""
    notes = {
        staff.hand: [[scientific(p) for p in event.pitches] for event in staff.events]
        for staff in exercise.staves
    }
    return (
        _json({"family": exercise.family, "key": exercise.key.ascii, "hand": exercise.hand})[1:-1],
        _json({"prompt": exercise.prompt, "notes": notes})[1:-1],
        [_blank(blank) for blank in exercise.asked],
    )


def _blank(blank: Blank) -> str:
    told = {"why": blank.why} if blank.why else {}
    if len(blank.versions) > 1:
        told = {"versions": list(blank.versions), **told}
    return _json(
        {
            "asks": blank.asks,
            "hand": blank.hand,
            "column": blank.column,
            "of": [scientific(p) for p in blank.of],
            "answer": blank.answer,
            "also": list(blank.also),
            **told,
        }
    )[1:-1]
