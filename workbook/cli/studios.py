"""The studio that a command works in, repaired after killed commands."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from workbook.weeks.studios import OpenStudio


@contextmanager
def opened(folder: Path) -> Iterator[OpenStudio]:
    """The studio in ``folder``, open; says what was repaired. See ``weeks.adopting``."""
    from workbook.weeks.adopting import opened_whole

    with opened_whole(folder, click.echo) as studio:
        yield studio
