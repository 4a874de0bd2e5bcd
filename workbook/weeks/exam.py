"""The mock exam: written papers without help, and what is played.

In: an open studio and a day. Out: papers and examiner's sheets on disk and in the record.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from workbook.builds.books import Built
from workbook.builds.examiners_sheets import write_examiners_sheets
from workbook.builds.orders import read_orders
from workbook.builds.publish import alone
from workbook.studio.template_model import without_help
from workbook.weeks.recipes import had_by
from workbook.weeks.sets import Run, SheetsToSet, enter, set_alone
from workbook.weeks.studios import OpenStudio


def set_exam(
    studio: OpenStudio,
    day: date,
    *,
    students: Iterable[str] = (),
    forms: int = 1,
    tasks: int = 2,
    seed: str = "",
    run: Run | None = None,
) -> tuple[list[Built], list[Built]]:
    """Set a mock exam of each student's level: the written papers, and the examiner's sheets.

    No box is filled in as help, and exercises that the student has had are left out while others
    remain. ``forms`` is the number of parallel papers, ``tasks`` that of keys for each skill that
    is played. Raises what ``build`` raises, and RecordError.
    """
    run = run or Run()
    settings = replace(studio.studio.build, forms=forms)
    orders, tables, everyone = read_orders(studio.studio.roster, settings, list(students))
    exam = tuple(
        replace(
            order,
            row=replace(
                order.row,
                template=without_help(order.row.template),
                title=order.row.title or f"Mock exam: {order.row.template.title}",
            ),
            had=had_by(studio, order.row.student),
        )
        for order in orders
    )
    name = f"exam-{day.isoformat()}"
    wanted = SheetsToSet(exam, seed or name, day, name, settings, tables, everyone, exam=True)
    with alone(studio.studio.folder):
        written = set_alone(studio, wanted, False, {}, run)
        out = written[0].folder
        while out.parent != studio.studio.folder:
            out = out.parent
        played_seed = f"{wanted.seed}/{out.name}"
        played = write_examiners_sheets(
            exam,
            out,
            tables,
            played_seed,
            tasks=tasks,
            progress=run.progress,
            cancel=run.cancel,
        )
        enter(studio, replace(wanted, seed=played_seed), played, tasks=tasks)
        studio.save(marks=False)
    return written, played
