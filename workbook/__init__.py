"""Exam workbooks for piano students: exercises, engraving, pages, answer keys.

>>> from workbook import build
>>> build("roster.csv", "march", progress=print)

does what ``workbook build roster.csv --out march`` does.
"""

__version__ = "0.1.0"
__all__ = ["Built", "WorkbookError", "build"]


def __getattr__(name: str):
    # late, so that the command line answers --help at once
    if name in ("Built", "build"):
        from workbook.builds import workbooks

        return getattr(workbooks, name)
    if name == "WorkbookError":
        from workbook.errors import WorkbookError

        return WorkbookError
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
