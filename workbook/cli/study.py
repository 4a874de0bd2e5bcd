"""``workbook study``: study pages, worked or with answers taken out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from workbook.cli.commands import Command, example
from workbook.cli.options import (
    FOLDER,
    Whole,
    fingering_option,
    page_options,
    template_dir_option,
    word_options,
)
from workbook.cli.parameters import key_names, shares
from workbook.cli.progress import Progress
from workbook.cli.templates import template_file

if TYPE_CHECKING:
    from workbook.music.keys import Key


@click.command(cls=Command, epilog=example('workbook study "E major" --level 5 --faded 0,50,100'))
@click.argument("keys", nargs=-1, required=True, callback=key_names)
@click.option("--level", type=Whole(1, 10), help="The skills of this level, 1 to 10.")
@click.option("--template", "name", help="The skills of this template instead of a level's.")
@click.option(
    "--faded",
    metavar="PERCENT",
    callback=shares,
    default="0",
    show_default=True,
    help="Percentage of the answers to take out: 0, 25, 50, 75 or 100, or several, such as 0,50.",
)
@click.option(
    "--out",
    type=FOLDER,
    default=Path("study"),
    show_default=True,
    help="Folder to write to.",
)
@template_dir_option
@fingering_option
@word_options
@page_options
@click.option("--grey", is_flag=True, hidden=True, expose_value=False)  # always so
def study(
    keys: tuple[Key, ...],
    level: int | None,
    name: str | None,
    faded: tuple[int, ...],
    out: Path,
    template_dir: Path | None,
    fingering: Path | None,
    letters: str | None,
    steps: str | None,
    paper: str,
    size: str,
    punch: bool,
) -> None:
    """Write study pages: every skill of a level, fully worked.

    Each of KEYS gets a page of its own; write "E major", "all minor" or all. With --faded, some of
    the answers are left for the student to fill in.
    """
    from workbook.builds.study_pages import study_pages
    from workbook.studio.templates import read_template
    from workbook.typesetting.runs import unprintable

    if (level is None) == (name is None):
        raise click.UsageError("give either --level or --template")
    wanted = name if name is not None else f"level-{level:02d}"
    file = template_file(wanted, template_dir, "--template")
    template = read_template(file, unprintable=unprintable)
    notices: list[str] = []
    with Progress() as progress:
        written = study_pages(
            keys,
            template,
            out,
            letters=letters,
            steps=steps,
            faded=faded,
            fingering=fingering,
            paper=paper,
            size=size,
            punch=punch,
            progress=progress.tell,
            notice=notices.append,
        )
    for path in [*notices, *written]:
        click.echo(path)
