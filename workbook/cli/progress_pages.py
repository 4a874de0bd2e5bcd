"""``workbook progress``: the progress of each student."""

from __future__ import annotations

from pathlib import Path

import click

from workbook.cli.commands import Command, collect_seldom, end_cleanly_on_signals, example
from workbook.cli.options import studio_option
from workbook.cli.studios import opened
from workbook.inputs.days import today


@click.command("progress", cls=Command, epilog=example("workbook progress"))
@studio_option
def progress_pages(studio: Path) -> None:
    """Write progress pages and a table of all estimates."""
    from workbook.weeks.progress_pages import write_progress

    end_cleanly_on_signals()
    collect_seldom()
    with opened(studio) as open_studio:
        for path in write_progress(open_studio, today()):
            click.echo(str(path))
