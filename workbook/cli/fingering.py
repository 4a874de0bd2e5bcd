"""``workbook fingering``: the fingerings of a studio, one run at a time."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from workbook.cli.commands import Command, example
from workbook.cli.options import studio_option
from workbook.cli.parameters import complete_key, key_name
from workbook.cli.studios import opened

if TYPE_CHECKING:
    from workbook.music.keys import Key


@click.command(
    cls=Command,
    epilog=example('workbook fingering "E major" --hand left --digits 543213214321321'),
)
@click.argument("key", callback=key_name, shell_complete=complete_key)
@click.option("--run", type=click.Choice(("scale", "arpeggio")), default="scale", show_default=True)
@click.option("--form", help="The form of a minor scale.  [default: the first that the key has]")
@click.option("--hand", type=click.Choice(("right", "left")), default="right", show_default=True)
@click.option(
    "--digits",
    help="Your own fingering: one digit for each note over two octaves, lowest first.",
)
@click.option("--back", is_flag=True, help="Go back to the built-in fingering.")
@studio_option
def fingering(
    key: Key, run: str, form: str | None, hand: str, digits: str | None, back: bool, studio: Path
) -> None:
    """Show the fingering of a run in KEY, or save one of your own.

    New sheets use your fingering; sheets already set keep theirs.
    """
    from workbook.weeks import own_fingerings as own

    if back and digits is not None:
        raise click.UsageError("use either --digits or --back, not both")
    forms = own.forms(run, key)
    if form is not None and form not in forms:
        raise click.BadParameter(f"write one of {', '.join(forms)}", param_hint="--form")
    form = form or forms[0]
    if back or digits is not None:
        with opened(studio) as open_studio:
            own.set_digits(open_studio.studio, run, key, form, hand, digits)
    with opened(studio) as open_studio:  # with the file that was written
        now, is_own = own.digits(open_studio.studio, run, key, form, hand)
    click.echo(f"{now}, {'your own' if is_own else 'built-in'}")
