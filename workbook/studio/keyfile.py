"""The machine's answer key: ``key.json``, item for item what the pages hold.

In: a plan and its laid-out sheets. Out: JSON text. README describes the fields.
"""

from __future__ import annotations

import json

from workbook.exercises.model import Blank
from workbook.music.pitch import scientific
from workbook.pages.flow import Page
from workbook.pages.marks import Box, Picture, Sheet
from workbook.studio.plan import Item, Plan


def key_data(plan: Plan, sheets: list[Sheet], page: Page) -> dict:
    """The answer key of a workbook as plain data.

    Pitches are in scientific notation as printed, chords low to high;
    rectangles in points from the page's lower left corner; pages count from 1.
    """
    placed: dict[tuple[int, str], tuple[int, Box]] = {}
    begins: dict[int, int] = {}
    for number, sheet in enumerate(sheets, 1):
        for mark in sheet.marks:
            if isinstance(mark, Picture):
                begins.setdefault(mark.number, number)
        for box in sheet.boxes:
            placed[box.number, box.blank.slot] = (number, box)
    return {
        "student": plan.row.student, "template": plan.row.template.name,
        "title": plan.row.title, "form": plan.form, "seed": plan.seed, "code": plan.code,
        "paper": page.paper, "size": page.size,
        "points": plan.points,
        "items": [_item(item, begins[item.number], placed) for item in plan.items]}


def _item(item: Item, page: int, placed) -> dict:
    number, exercise = item.number, item.exercise
    return {
        "number": number, "family": exercise.family, "key": exercise.key.ascii,
        "hand": exercise.hand, "page": page, "points": item.points,
        "prompt": exercise.prompt,
        "notes": {staff.hand: [[scientific(p) for p in event.pitches] for event in staff.events]
                  for staff in exercise.staves},
        "blanks": [_blank(f"{number}.{index}", blank, *placed[number, blank.slot])
                   for index, blank in enumerate(exercise.asked, 1)]}


def _blank(name: str, blank: Blank, page: int, box: Box) -> dict:
    told = {"why": blank.why} if blank.why else {}
    if len(blank.versions) > 1:
        told = {"versions": list(blank.versions), **told}
    return {"id": name, "asks": blank.asks, "hand": blank.hand, "column": blank.column,
            "of": [scientific(p) for p in blank.of], "answer": blank.answer,
            "also": list(blank.also), **told, "page": page,
            "rect": [round(value, 2) for value in box.rect]}


_json = json.JSONEncoder(ensure_ascii=False, check_circular=False).encode


def key_text(plan: Plan, sheets: list[Sheet], page: Page) -> str:
    """``key_data`` as JSON, one blank a line, the same bytes each time."""
    data = key_data(plan, sheets, page)
    items = data.pop("items")
    head = json.dumps(data, ensure_ascii=False, indent=1)[:-2]
    return head + ',\n "items": [\n' + ",\n".join(_lines(item) for item in items) + "\n ]\n}\n"


def _lines(item: dict) -> str:
    blanks = item.pop("blanks")
    head = _json(item)[:-1]
    rows = ",\n   ".join(map(_json, blanks))
    return f'  {head}, "blanks": [\n   {rows}]}}'
