"""``workbook next``: next week's sheets."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from workbook.cli.builds import built_line
from workbook.cli.commands import Command, collect_seldom, end_cleanly_on_signals, example
from workbook.cli.options import (
    sheet_pages_option,
    students_option,
    studio_option,
    week_option,
)
from workbook.cli.progress import Progress
from workbook.cli.studios import opened
from workbook.inputs.days import today


@click.command("next", cls=Command, epilog=example("workbook next --pages 2"))
@week_option
@students_option
@sheet_pages_option
@click.option("--again", is_flag=True, help="As corrections, set the same exercises again.")
@click.option("--seed", default="", help="Any text; a different one gives different exercises.")
@studio_option
def next_sheets(
    week: date | None,
    students: tuple[str, ...],
    pages: int | None,
    again: bool,
    seed: str,
    studio: Path,
) -> None:
    """Set next week's sheets.

    A sheet has what was wrong last time, what the student has not met yet, and what is
    weakest. A row's template names the skills; its keys set their order.
    """
    from workbook.engraving.engrave import cores
    from workbook.weeks.next_sheets import set_next
    from workbook.weeks.sets import Run

    end_cleanly_on_signals()
    collect_seldom()
    notices: list[str] = []
    with opened(studio) as open_studio, Progress() as progress:
        found = set_next(
            open_studio,
            week or open_studio.studio.next_lesson(today()),
            students=students,
            pages=pages,
            again=again,
            seed=seed,
            run=Run(progress.tell, notices.append, processes=cores()),
        )
    for one in found:
        click.echo(built_line(one.built))
        sections: dict[str, list[str]] = {}
        for letter, title, words in one.reasons:
            sections.setdefault(words, []).append(f"{letter} {title}")
        for words, titles in sections.items():
            click.echo(f"   {', '.join(titles)}: {words}")
    for line in notices:
        click.echo(line)
