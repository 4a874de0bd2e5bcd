"""Exam workbooks for piano students: exercises, engraving, pages, answer keys.

>>> from workbook import build
>>> build("roster.csv", "march", progress=print)  # doctest: +SKIP

does what ``workbook build roster.csv --out march`` does. The public names are those of
``workbook.api``.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from workbook.api import *  # noqa: F403

__version__ = "0.1.0"
__all__ = [
    "Blank",
    "Built",
    "Cancel",
    "Cancelled",
    "CheckFailed",
    "EngraverMissing",
    "EngravingError",
    "Finding",
    "InputError",
    "Item",
    "Marking",
    "Outcome",
    "OutputError",
    "Printed",
    "Problem",
    "Progress",
    "Record",
    "Unreadable",
    "WorkbookError",
    "booklets",
    "build",
    "check",
    "judge",
    "points",
    "print_job",
    "read_record",
    "study_pages",
]


def __getattr__(name: str) -> object:
    # late, so that the command line answers --help at once
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module("workbook.api"), name)
