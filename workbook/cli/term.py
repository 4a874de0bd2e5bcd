"""``workbook term``: the plan until the exam."""

from __future__ import annotations

from pathlib import Path

import click

from workbook.cli.commands import Command, end_cleanly_on_signals, example
from workbook.cli.options import sheet_pages_option, studio_option
from workbook.cli.studios import opened
from workbook.inputs.days import today


@click.command(cls=Command, epilog=example("workbook term --pages 3"))
@sheet_pages_option
@studio_option
def term(pages: int | None, studio: Path) -> None:
    """Show the plan until the exam, and write it as wall charts."""
    from workbook.weeks.term import term_plans
    from workbook.weeks.term_charts import write_charts

    end_cleanly_on_signals()
    with opened(studio) as open_studio:
        plans = term_plans(open_studio, today(), pages)
        files = write_charts(open_studio, plans)
    for plan in plans:
        click.echo(f"{plan.student}, {plan.level}: met {plan.met} of {plan.total}.")
        for sentence in plan.sentences:
            click.echo(f"   {sentence}")
    click.echo("\n".join(map(str, files)))
