"""``workbook progress``: what is seen of each student."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from workbook.cli.commands import Command, end_cleanly_on_signals, example
from workbook.cli.options import studio_option
from workbook.cli.studios import opened


@click.command("progress", cls=Command, epilog=example("workbook progress"))
@studio_option
def progress_pages(studio: Path) -> None:
    """Write a progress page for each student and for the studio, and a table."""
    from workbook.weeks.progress_pages import write_progress

    end_cleanly_on_signals()
    today = date.today()  # noqa: DTZ011  (the teacher's own day)
    with opened(studio) as open_studio:
        for path in write_progress(open_studio, today):
            click.echo(str(path))
