"""``workbook preview``: one exercise, blank and answered."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from workbook.cli.commands import Command, example
from workbook.cli.options import NEW_FILE, Whole, fingering_option
from workbook.cli.parameters import (
    complete_family,
    complete_key,
    ends_in,
    family_name,
    key_name,
    setting,
)

if TYPE_CHECKING:
    from workbook.music.keys import Key


@click.command(
    cls=Command,
    epilog=example('workbook preview intervals --key "E major" --set quality=true --out try.png'),
)
@click.argument("family", callback=family_name, shell_complete=complete_family)
@click.option(
    "--key",
    metavar="KEY",
    callback=key_name,
    shell_complete=complete_key,
    required=True,
    help='The key, such as "E major".',
)
@click.option(
    "--hand",
    type=click.Choice(("right", "left", "both")),
    default="right",
    show_default=True,
    help="For families that are read, not played, right means the treble clef, left the bass.",
)
@click.option(
    "--set",
    "choices",
    multiple=True,
    metavar="NAME=VALUE",
    help="A setting of the family, as in a template: octaves=2. May be repeated.",
)
@click.option(
    "--given",
    type=Whole(0, 30),
    default=0,
    show_default=True,
    help="Number of boxes filled in, in each row.",
)
@click.option(
    "--seed",
    default="1",
    show_default=True,
    help="Any text; a different one gives a different exercise.",
)
@fingering_option
@click.option(
    "--out",
    type=NEW_FILE,
    callback=ends_in(".pdf", ".png"),
    help="A .pdf or .png file.  [default: FAMILY.pdf]",
)
def preview(
    family: str,
    key: Key,
    hand: str,
    choices: tuple[str, ...],
    given: int,
    seed: str,
    fingering: Path | None,
    out: Path | None,
) -> None:
    """Draw one exercise of FAMILY, blank and answered."""
    from random import Random

    from workbook.builds import previews as slips
    from workbook.builds.publish import whole_file
    from workbook.exercises.families import FAMILIES
    from workbook.exercises.model import Request
    from workbook.fingering.conventions import load, traditional

    out = out or Path(f"{family}.pdf")
    kind = FAMILIES[family]
    try:
        settings = dict(setting(kind, choice) for choice in choices)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="--set") from None
    if problem := kind.problem(settings, key, hand):
        raise click.BadParameter(problem, param_hint="--set")
    table = load(fingering) if fingering else traditional()
    exercise = kind.make(
        Request(key, hand, kind.asks, given, 2, settings, fingering=table), Random(seed)
    )
    data = slips.png(exercise) if out.suffix.lower() == ".png" else slips.pdf(exercise)
    with whole_file(out, click.echo) as file:
        file.write(data)
    click.echo(f"{out}: {exercise.prompt}")
