"""The roster of a new studio, from names and one level.

In: names, one on a line. Out: the text of ``roster.csv``, checked as every roster is.
"""

from __future__ import annotations

import csv
import io

from workbook.errors import InputError, Problem
from workbook.studio.roster import read_roster
from workbook.studio.templates import available, read_template
from workbook.typesetting.runs import unprintable


def levels() -> list[tuple[str, str]]:
    """The built-in templates that have keys of their own, by name, each with its title."""
    found = {name: read_template(path) for name, path in available(None).items()}
    return [(name, one.title) for name, one in found.items() if one.keys]


def first_roster(names: str, level: str) -> bytes:
    """A roster with a row for each name, all of one level, in all keys of it.

    Raises InputError if a row is not right, or if there is no name.
    """
    students = [name.strip() for name in names.splitlines() if name.strip()]
    if not students:
        raise InputError([Problem("students", "", "there is no name;", "write one on each line")])
    rows = [{"student": name, "template": level, "keys": ""} for name in students]
    read_roster(rows, unprintable=unprintable)
    out = io.StringIO()
    table = csv.DictWriter(out, ["student", "template", "keys", "title"], lineterminator="\n")
    table.writeheader()
    table.writerows(rows)
    return out.getvalue().encode()
