"""The command line: options in the teacher's words, one clear message if something is wrong.

A module for each group of commands. Everything heavy is imported inside the commands, so
that ``--help`` answers at once.
"""

from __future__ import annotations

import click

from workbook import __version__
from workbook.cli import (
    builds,
    cache,
    check,
    desk,
    exam,
    fingering,
    mark,
    next_week,
    preview,
    printing,
    progress_pages,
    roster,
    studio,
    study,
    templates,
    term,
)
from workbook.cli.commands import Group


@click.group(
    cls=Group,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="\b\n"
    "Try it on an invented studio:   workbook demo\n"
    "Then on your own:               workbook build roster.csv --out march",
)
@click.version_option(__version__)
def main() -> None:
    """Make printed piano workbooks, one for each student, with answer keys."""


for _command in (
    builds.demo,
    studio.begin,
    builds.build,
    mark.mark,
    desk.desk,
    progress_pages.progress_pages,
    next_week.next_sheets,
    term.term,
    exam.exam,
    studio.record,
    studio.student,
    roster.roster,
    printing.print_files,
    templates.templates,
    fingering.fingering,
    study.study,
    preview.preview,
    check.check,
    cache.cache,
):
    main.add_command(_command)
