"""Exam workbooks for piano students: exercises, engraving, pages, answer keys.

>>> from workbook import build
>>> build("roster.csv", "march", progress=print)  # doctest: +SKIP

does what ``workbook build roster.csv --out march`` does. ``workbook.api`` lists all
public names.
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from workbook.api import *  # noqa: F403

__version__ = "0.1.0"


def __getattr__(name: str) -> object:
    # late, so that the command line answers --help at once
    if name.startswith("__"):
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from workbook import api

    if name in api.__all__:
        return getattr(api, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    from workbook import api

    return [*globals(), *api.__all__]
