"""What applies to a row of the roster: its own settings, or else the build's.

In: a row and the settings of a build. Out: the row with its words, the names of its paper and
size, and the files that rows name.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path, PurePath

from workbook.design import PAPERS, SIZES, SMALL
from workbook.errors import InputError, Problem
from workbook.inputs.messages import any_of, quoted
from workbook.inputs.problem_log import ProblemLog
from workbook.studio.folder import FINGERING
from workbook.studio.roster import Row
from workbook.studio.settings import BuildSettings
from workbook.studio.template_model import overridden, without_help

LARGEST = max(SIZES, key=lambda size: SIZES[size])
"""The print size that small paper has no room for."""


def worded(row: Row, settings: BuildSettings) -> Row:
    """The row and its template with its own words, marking rule and pages; no help in exams."""
    own = row.own
    letters, steps = own.letters or settings.letters, own.steps or settings.steps
    template = without_help(row.template) if settings.exam else row.template
    words = letters, steps, settings.marking, settings.pages
    return replace(row, template=overridden(template, *words))


def paper_name(row: Row, settings: BuildSettings) -> str:
    """The name of the row's paper."""
    return row.own.paper or settings.paper


def size_name(row: Row, settings: BuildSettings) -> str:
    """The name of the size in which the row's pages are printed."""
    return row.own.size or settings.size


def too_large(paper: str, size: str) -> tuple[str, str] | None:
    """Why pages of this paper cannot be printed in this size, and what to choose instead; None if
    they can.
    """
    if size != LARGEST or PAPERS[paper][0] >= SMALL:
        return None
    large = [name for name, (width, _) in PAPERS.items() if width >= SMALL]
    instead = f"choose {any_of(large)} paper, or large print"
    return f"{paper} paper is too small for {size} print", instead


def print_problems(rows: Iterable[Row], settings: BuildSettings, roster: str) -> list[Problem]:
    """The rows that cannot be printed in their size on their paper, those with neither of their own
    as one problem of the ``roster`` of this name.
    """
    log, whole = ProblemLog(roster, "row"), False
    for row in rows:
        wrong = too_large(paper_name(row, settings), size_name(row, settings))
        own = row.own.paper or row.own.size
        if wrong and (own or not whole):
            log.add(row.number if own else None, *wrong)
            whole = whole or not own
    return log.problems


def files_beside(rows: Iterable[Row], roster: Path) -> dict[PurePath, bytes]:
    """The files that rows name by paths from the folder of ``roster``, with their contents.

    Raises InputError for a file that could not lie in a studio folder in the same way, or that
    cannot be read.
    """
    found: dict[PurePath, bytes] = {}
    log = ProblemLog(roster.name, "row")
    for row in rows:
        named = Path(row.own.fingering or "")
        if not row.own.fingering or not named.is_relative_to(roster.parent):
            continue
        path = named.relative_to(roster.parent)
        if ".." in path.parts:
            what = f"fingering is {quoted(path.as_posix())}, outside the roster's folder"
            log.add(row.number, what, "put the file beside the roster")
        elif path == PurePath(FINGERING):
            what = f"fingering is {quoted(FINGERING)}, in a studio folder the file for all rows"
            log.add(row.number, what, "give the file of this row another name")
        else:
            try:
                found[path] = named.read_bytes()
            except OSError as error:
                log.add(row.number, f"cannot read {quoted(path.as_posix())}", str(error.strerror))
    if log:
        raise InputError(log.problems)
    return found
