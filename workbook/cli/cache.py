"""``workbook cache``: the engraved music kept between builds."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from workbook.cli.commands import Command, example
from workbook.errors import ExitCode
from workbook.inputs.messages import plural

if TYPE_CHECKING:
    from workbook.engraving.cache import Size


@click.command(cls=Command, epilog=example("workbook cache --clear"))
@click.option("--clear", is_flag=True, help="Remove all of it; the next build engraves it again.")
def cache(clear: bool) -> None:
    """Show or clear the engraved music kept between builds."""
    from workbook.engraving.cache import Cache, folder

    kept = Cache(folder())
    if clear:
        removed = kept.clear()
        click.echo(f"{kept.place}: {_counted(removed)}, removed")
        if kept.left:
            click.echo(f"{plural(kept.left, 'exercise')} could not be removed", err=True)
            raise click.exceptions.Exit(ExitCode.FAILED)
    elif kept.problem:
        which = f"{kept.place} is not used" if kept.place else "Nothing is kept"
        click.echo(f"{which}: {kept.problem}.")
    else:
        most = f"at most {kept.most / 1e6:.0f} MB are kept"
        click.echo(f"{kept.place}: {_counted(kept.size())} ({most})")


def _counted(size: Size) -> str:
    return f"{plural(size.snippets, 'exercise')}, {size.bytes / 1e6:.1f} MB"
