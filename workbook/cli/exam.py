"""``workbook exam``: mock exams."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from workbook.cli.builds import built_line
from workbook.cli.commands import Command, end_cleanly_on_signals, example
from workbook.cli.options import DAY, Whole, students_option, studio_option
from workbook.cli.progress import Progress
from workbook.cli.studios import opened
from workbook.inputs.days import today
from workbook.studio.settings import MOST_FORMS


@click.command(cls=Command, epilog=example("workbook exam --day 2027-05-20 --forms 2"))
@click.option("--day", type=DAY, help="The day of the exam.  [default: today]")
@students_option
@click.option(
    "--forms",
    type=Whole(1, MOST_FORMS),
    default=1,
    show_default=True,
    help="Number of parallel papers per student (A, B, …).",
)
@click.option(
    "--tasks",
    type=Whole(1, 4),
    default=2,
    show_default=True,
    help="Number of keys for each skill that is played.",
)
@click.option("--seed", default="", help="Any text; a different one gives another exam.")
@studio_option
def exam(
    day: date | None,
    students: tuple[str, ...],
    forms: int,
    tasks: int,
    seed: str,
    studio: Path,
) -> None:
    """Set a mock exam for each student.

    Each student gets written papers and an examiner's sheet for what is played. No answers
    are filled in, and exercises that a student has had are left out while others remain.
    Mark both with workbook mark.
    """
    from workbook.engraving.engrave import cores
    from workbook.weeks.exam import set_exam
    from workbook.weeks.sets import Run

    end_cleanly_on_signals()
    notices: list[str] = []
    with opened(studio) as open_studio, Progress() as progress:
        written, played = set_exam(
            open_studio,
            day or today(),
            students=students,
            forms=forms,
            tasks=tasks,
            seed=seed,
            run=Run(progress.tell, notices.append, processes=cores()),
        )
    for one in written:
        click.echo(built_line(one))
    for one in played:
        click.echo(f"{one.student}: examiner’s sheet, key code {one.code} -> {one.folder}")
    for line in notices:
        click.echo(line)
