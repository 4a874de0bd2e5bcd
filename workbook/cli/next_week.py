"""``workbook next``: next week's sheets."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import click

from workbook.cli.builds import built_line
from workbook.cli.commands import Command, end_cleanly_on_signals, example
from workbook.cli.options import studio_option
from workbook.cli.progress import Progress
from workbook.cli.studios import opened


@click.command("next", cls=Command, epilog=example("workbook next --pages 2"))
@click.option(
    "--week",
    type=click.DateTime(["%Y-%m-%d"]),
    help="The day of the lesson.  [default: the next lesson]",
)
@click.option(
    "--student", "students", multiple=True, help="For this student only; may be repeated."
)
@click.option(
    "--pages",
    type=click.IntRange(1, 20),
    help="Pages of each sheet.  [default: as studio.toml says]",
)
@click.option("--again", is_flag=True, help="Correct the very exercises that were wrong.")
@click.option("--seed", default="", help="Any text; a different one gives different exercises.")
@studio_option
def next_sheets(
    week: datetime | None,
    students: tuple[str, ...],
    pages: int | None,
    again: bool,
    seed: str,
    studio: Path,
) -> None:
    """Set next week's sheets: what was wrong, what is new, what is weakest.

    The template of each row says which skills there are, its keys in which order they come.
    """
    from workbook.engraving.engrave import cores
    from workbook.weeks.next_sheets import set_next
    from workbook.weeks.sets import Run

    end_cleanly_on_signals()
    notices: list[str] = []
    with opened(studio) as open_studio, Progress() as progress:
        today = date.today()  # noqa: DTZ011  (the teacher's own day)
        found = set_next(
            open_studio,
            week.date() if week else open_studio.studio.term.lesson(today) or today,
            students=students,
            pages=pages,
            again=again,
            seed=seed,
            run=Run(progress.tell, notices.append, processes=cores()),
        )
    for one in found:
        click.echo(built_line(one.built))
        for letter, title, words in one.reasons:
            click.echo(f"   {letter} {title}: {words}")
    for line in notices:
        click.echo(line)
