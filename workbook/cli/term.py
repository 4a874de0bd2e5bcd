"""``workbook term``: the dates of the term, and the plan until the exam."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from workbook.cli.commands import Command, end_cleanly_on_signals, example
from workbook.cli.options import DAY, DAY_OR_NONE, sheet_pages_option, studio_option
from workbook.cli.studios import opened
from workbook.inputs.days import in_words, today
from workbook.inputs.messages import plural

if TYPE_CHECKING:
    from workbook.studio.folder import Studio


@click.command(
    cls=Command,
    epilog=example(
        "workbook term --pages 3", "workbook term --first-lesson 2027-01-12 --exam 2027-06-05"
    ),
)
@click.option(
    "--first-lesson", type=DAY_OR_NONE, help="The day of the first lesson; none removes it."
)
@click.option("--exam", type=DAY_OR_NONE, help="The day of the exam; none removes it.")
@click.option(
    "--no-lesson", type=DAY, multiple=True, help="Leave out the week of this day; may be repeated."
)
@click.option(
    "--lesson", type=DAY, multiple=True, help="Put back the week of this day; may be repeated."
)
@sheet_pages_option
@studio_option
def term(
    first_lesson: date | str | None,
    exam: date | str | None,
    no_lesson: tuple[date, ...],
    lesson: tuple[date, ...],
    pages: int | None,
    studio: Path,
) -> None:
    """Show the plan until the exam, and write it as wall charts.

    The dates of the term are kept in studio.toml; the options change them there first.
    """
    from workbook.studio.folder import read_studio
    from workbook.weeks.term import term_plans
    from workbook.weeks.term_charts import write_charts

    end_cleanly_on_signals()
    if any((first_lesson, exam, no_lesson, lesson)):
        with opened(studio) as open_studio:
            _set(open_studio.studio, first_lesson, exam, no_lesson, lesson)
            now = read_studio(open_studio.studio.folder).term
        if not now.first_lesson or not now.exam:
            click.echo("The dates are saved. A plan needs both --first-lesson and --exam.")
            return
        lessons = plural(len(now.weeks()), "lesson")
        click.echo(f"{in_words(now.first_lesson)} to {in_words(now.exam)}, {lessons}")
    with opened(studio) as open_studio:
        plans = term_plans(open_studio, today(), pages)
        files = write_charts(open_studio, plans)
    for plan in plans:
        click.echo(f"{plan.student}, {plan.level}: met {plan.met} of {plan.total} skills in keys.")
        for sentence in plan.sentences:
            click.echo(f"   {sentence}")
    click.echo("\n".join(map(str, files)))


def _set(
    studio: Studio,
    first: date | str | None,
    exam: date | str | None,
    off: Sequence[date],
    back: Sequence[date],
) -> None:
    """Write the given dates; any other word removes one."""
    from workbook.weeks.term_dates import set_term, weeks_off

    term = studio.term

    def chosen(given: date | str | None, now: date | None) -> date | None:
        if given is None:
            return now
        return given if isinstance(given, date) else None

    first, exam = chosen(first, term.first_lesson), chosen(exam, term.exam)
    set_term(studio, first, exam, weeks_off(term.weeks_off, off, back))
