"""``workbook desk``: the pages in the browser."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import click

from workbook.cli.commands import Command, example
from workbook.cli.options import FOLDER, Whole
from workbook.errors import WorkbookError

_NEEDS = ("jinja2", "multipart", "starlette", "uvicorn")


@click.command(cls=Command, epilog=example("workbook desk", "workbook desk --studio studio"))
@click.option(
    "--port",
    type=Whole(1, 65535),
    default=None,
    help="The port to listen on.  [default: a free one]",
)
@click.option("--no-browser", is_flag=True, help="Only show the link; do not open a browser.")
@click.option(
    "--studio",
    type=FOLDER,
    default=Path(),
    help="The studio folder, or a folder to make into one.  [default: the folder you are in]",
)
def desk(port: int | None, no_browser: bool, studio: Path) -> None:
    """Set, print and mark sheets in the browser on this computer.

    Other computers cannot reach the desk. It ends when you close the terminal or press Ctrl+C.
    """
    if not all(map(find_spec, _NEEDS)):
        raise WorkbookError("The desk needs some more packages: pip install 'workbook[desk]'")
    from workbook.desk.server import serve

    serve(studio, port or 0, not no_browser, click.echo)
