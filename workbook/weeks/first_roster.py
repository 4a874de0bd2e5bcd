"""The roster of a new studio, from names and levels; and an invented studio to look at.

In: names, each with a level. Out: the text of ``roster.csv``, checked as every roster is.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from datetime import date, timedelta
from pathlib import Path

from workbook.errors import InputError, Problem
from workbook.inputs.messages import has_ink
from workbook.resources import shipped
from workbook.studio.folder import Studio, is_studio, read_studio
from workbook.studio.roster import read_roster
from workbook.studio.templates import available, read_template
from workbook.typesetting.runs import unprintable
from workbook.weeks.studios import begin
from workbook.weeks.term_dates import set_term

INVENTED = "invented-studio"
"""The folder of the invented studio, within the teacher's."""
_WEEKS = 12


def levels() -> list[tuple[str, str]]:
    """The built-in templates that have keys of their own, by name, each with its title."""
    found = {name: read_template(path) for name, path in available(None).items()}
    return [(name, one.title) for name, one in found.items() if one.keys]


def first_roster(students: Iterable[tuple[str, str]]) -> bytes:
    """A roster with a row for each name and level, in all keys of the level.

    Pairs without a name are left out. Raises InputError if a row is not right, or if there is
    no name.
    """
    rows = [
        {"student": name.strip(), "template": level, "keys": ""}
        for name, level in students
        if has_ink(name)
    ]
    if not rows:
        raise InputError([Problem("students", "", "there is no name;", "write at least one")])
    read_roster(rows, unprintable=unprintable)
    out = io.StringIO()
    table = csv.DictWriter(out, ["student", "template", "keys", "title"], lineterminator="\n")
    table.writeheader()
    table.writerows(rows)
    return out.getvalue().encode()


def invented(folder: Path, today: date) -> Studio:
    """The invented studio in ``folder``, made if it is not there, with a term from today.

    Raises OutputError, RecordError.
    """
    if not is_studio(folder):
        roster = shipped() / "demo" / "roster.csv"
        set_term(begin(folder, roster.read_bytes()), today, today + timedelta(weeks=_WEEKS), [])
    return read_studio(folder)
