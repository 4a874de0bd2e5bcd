"""Workbooks of chosen exercises, made the way a build makes them."""

from itertools import cycle, islice, product
from random import Random

from asked import Request

from workbook.builds.records import key_text, workbook_record
from workbook.engraving.engrave import engrave
from workbook.exercises.families import FAMILIES
from workbook.exercises.model import HANDS
from workbook.pages import render
from workbook.pages.answer_list import lay_out_answers, listed_on
from workbook.pages.columns import frames
from workbook.pages.layout import lay_out
from workbook.pages.paper import Paper
from workbook.planning.plan import Item, Plan, PlannedSection
from workbook.record.files import document_title
from workbook.studio.roster import Row
from workbook.studio.template_model import Template


def exercises(name, keys, given=0, hands=HANDS):
    """Of a family: every key by every hand, the settings that go with it dealt in turn."""
    family, made = FAMILIES[name], []
    choices = [
        dict(zip(family.settings, values))
        for values in product(*map(tuple, family.settings.values()))
    ]
    turns = cycle(choices)
    for key in keys:
        for hand in hands if family.by else ("right",):
            rng = Random(f"{name} {key.ascii} {hand}")
            for settings in islice(turns, len(choices)):
                if not family.problem(settings, key, hand):
                    made.append(
                        family.make(Request(key, hand, family.asks, given, 2, settings), rng)
                    )
                    break
    return made


def titled(file):
    return document_title(file, "Every Family", "Odile Wren")


def book(
    folder, sections, paper=Paper("letter"), grey=False, change=lambda pages: None, hand="middle"
):
    """The files of a workbook with a section for each list of exercises, for a ``hand``, made after
    ``change`` was called with its pages.
    """
    number, planned = 0, []
    for letter, some in zip("ABCDEFGHIJKLMNOPQRSTUVWXYZ", sections):
        items = []
        for exercise in some:
            number += 1
            items.append(Item(number, exercise, 3))
        planned.append(PlannedSection(letter, FAMILIES[some[0].family].title, tuple(items)))
    template = Template("all", "Every Family", "", "", (), hand=hand)
    row = Row("Odile Wren", template, (), "Every Family", None, 2)
    plan = Plan(row, "seed", tuple(planned), "TST-2K7")
    snippets = engrave([item.exercise for item in plan.items], frames=frames(plan, paper))
    pages = lay_out(plan, dict(enumerate(snippets, 1)), paper)
    change(pages)
    written(folder, plan, pages, paper, grey)


def written(folder, plan, pages, paper, grey=False):
    """The files of a workbook that has these pages."""
    folder.mkdir(parents=True, exist_ok=True)
    for face, file in ((render.WORKBOOK, "workbook.pdf"), (render.ANSWER_KEY, "answer-key.pdf")):
        (folder / file).write_bytes(
            render.render(pages, face, paper.whole, titled(file), "Odile Wren", grey)
        )
    (folder / "answers.pdf").write_bytes(
        render.render(
            lay_out_answers(plan, pages, paper),
            render.WORKBOOK,
            listed_on(paper).whole,
            titled("answers.pdf"),
            "Odile Wren",
        )
    )
    (folder / "key.json").write_text(key_text(plan, workbook_record(plan, pages, paper)), "utf-8")
