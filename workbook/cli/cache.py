"""``workbook cache``: the engraved exercises that are kept between builds."""

from __future__ import annotations

import click

from workbook.cli.commands import Command, example
from workbook.inputs.messages import plural


@click.command(cls=Command, epilog=example("workbook cache --clear"))
@click.option(
    "--clear", is_flag=True, help="Remove all of them; the next build engraves them again."
)
def cache(clear: bool) -> None:
    """Show or clear what is engraved and kept between builds."""
    from workbook.engraving.cache import Cache, folder

    kept = Cache(folder())
    size = kept.clear() if clear else kept.size()
    click.echo(
        f"{kept.place}: {plural(size.snippets, 'exercise')}, {size.bytes / 1e6:.1f} MB"
        + (", removed" if clear else f" (at most {kept.most / 1e6:.0f} MB are kept)")
    )
