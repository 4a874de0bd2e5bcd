"""``workbook roster``: the rows of a studio's roster, checked and changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from workbook.cli.commands import Command, Group, example
from workbook.cli.options import Whole, studio_option
from workbook.cli.parameters import named_values
from workbook.cli.studios import opened
from workbook.errors import InputError
from workbook.inputs.messages import quoted

if TYPE_CHECKING:
    from workbook.weeks.roster_table import RosterTable

MOST_ROWS = 100_000
_ROW = Whole(1, MOST_ROWS)


@click.group(cls=Group, epilog=example("workbook roster check"))
def roster() -> None:
    """Check the roster of a studio, or change its rows.

    All other rows and your own notes stay as they are.
    """


@roster.command(cls=Command)
@studio_option
def check(studio: Path) -> None:
    """List the problems in the roster, row by row."""
    from workbook.weeks.roster_table import check as problems_of
    from workbook.weeks.roster_table import read_table

    with opened(studio) as open_studio:
        table = read_table(open_studio.studio.roster)
        problems = problems_of(open_studio.studio, table.data)
    if problems:
        raise InputError(problems)
    click.echo("The roster has no problems.")


@roster.command(
    cls=Command, epilog=example('workbook roster add "student=Wren Adair" template=level-02')
)
@click.argument("values", metavar="COLUMN=VALUE...", nargs=-1, required=True)
@studio_option
def add(values: tuple[str, ...], studio: Path) -> None:
    """Add a row at the end."""
    from workbook.weeks.roster_table import edited

    _save(studio, lambda table: edited(table, {}, [_cells(table, values)]))


@roster.command("set", cls=Command, epilog=example('workbook roster set 3 "keys=C major; A minor"'))
@click.argument("row", type=_ROW)
@click.argument("values", metavar="COLUMN=VALUE...", nargs=-1, required=True)
@studio_option
def set_cells(row: int, values: tuple[str, ...], studio: Path) -> None:
    """Change cells of ROW. As in a spreadsheet program, the headings are row 1."""
    from workbook.weeks.roster_table import edited

    def change(table: RosterTable) -> bytes:
        _look_for(table, row)
        cells = _cells(table, values)
        return edited(table, {(row, column): cell for column, cell in cells.items()})

    _save(studio, change)


@roster.command(cls=Command, epilog=example("workbook roster remove 3"))
@click.argument("row", type=_ROW)
@studio_option
def remove(row: int, studio: Path) -> None:
    """Remove ROW. The student's sheets and marks are kept."""
    from workbook.weeks.roster_table import edited

    def change(table: RosterTable) -> bytes:
        _look_for(table, row)
        return edited(table, {}, removed={row})

    _save(studio, change)


def _save(folder: Path, change: Callable[[RosterTable], bytes]) -> None:
    from workbook.weeks.roster_table import read_table, save, table_of

    with opened(folder) as studio:
        before = read_table(studio.studio.roster)
        data = change(before)
        save(studio.studio, before, data)
    for row in table_of(data, before.name).rows:
        click.echo(f"{row.number}. {', '.join(cell for cell in row.cells if cell.strip())}")


def _cells(table: RosterTable, values: Sequence[str]) -> dict[int, str]:
    """The cells that ``values`` name, by column."""
    found: dict[int, str] = {}
    for name, texts in named_values(values, "student=Wren").items():
        column = table.place(name)
        if column is None:
            columns = ", ".join(quoted(one) for one in table.headings)
            raise click.BadParameter(
                f"{table.name} has no column {quoted(name)}; it has {columns}",
                param_hint="COLUMN=VALUE",
            )
        if len(texts) > 1 or column in found:
            raise click.BadParameter(
                f"{quoted(name)} is named twice; name it once", param_hint="COLUMN=VALUE"
            )
        found[column] = texts[0]
    return found


def _look_for(table: RosterTable, row: int) -> None:
    if row not in {one.number for one in table.rows}:
        raise click.BadParameter(f"{table.name} has no row {row}", param_hint="ROW")
