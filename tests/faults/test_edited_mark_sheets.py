"""Whatever a teacher typed into a mark sheet is in the next one, or in a copy that is named.

The sheet is edited, saved as spreadsheet programs do, and the same roster or another one is
built over it. A mark that was where it belongs stays there if its workbook does.
"""

from __future__ import annotations

import csv
import io
import re
from contextlib import chdir

import pytest
from click.testing import CliRunner
from kills import CHECK, build
from spreadsheets import EDITS, HARMLESS, edited

from workbook import cli

_SHEETS = 5 * len(EDITS)
_COPY = re.compile(r"mark-sheet-before[\w-]*\.csv")


@pytest.mark.parametrize(
    "sheets",
    [range(0, _SHEETS, 31), pytest.param(range(_SHEETS), marks=pytest.mark.faults)],
    ids=["sample", "all"],
)
def test_edited_mark_sheets(sheets, two_builds, place, figures):
    place.mkdir()
    told = [_edited(number, two_builds.copy(place / str(number))) for number in sheets]
    figures("edit", "sheets", "typed", "in the new table", "in a copy only", "faults")
    for name in EDITS:
        some = [one for one in told if one[0] == name]
        if some:
            columns = (sum(column) for column in zip(*(one[1] for one in some)))
            figures(name, len(some), *columns, sum(bool(one[2]) for one in some))
    typed, there, aside = (sum(column) for column in zip(*(one[1] for one in told)))
    figures("together", len(told), typed, there, aside, sum(bool(one[2]) for one in told))
    wrong = [line for *_, lines in told for line in lines]
    assert not wrong, f"{len(wrong)} faults\n" + "\n".join(wrong)


def _edited(number, folder):
    """The edit; how much was typed, is in the new table, is in a copy only; what is wrong."""
    out = folder / "out"
    sheet = out / "mark-sheet.csv"
    name, way, inks, saved = edited(number, sheet.read_bytes())
    sheet.write_bytes(saved)
    wrong = []
    if name in HARMLESS:
        checked = _run(CHECK, folder)
        if checked.exit_code:
            wrong.append(f"the check: {checked.output[-300:]}")
    same = number // len(EDITS) % 2 == 0
    built = _run(build("old" if same else "new"), folder)
    if built.exit_code:
        wrong.append(f"the build: {built.exit_code}: {built.output[-300:]}")
    new = _cells(_text(sheet))
    copies = [_text(out / one) for one in _COPY.findall(built.output) if (out / one).exists()]
    kept = [any(ink.words in cell for row in new for cell in row) for ink in inks]
    copied = [any(_holds(copy, ink.words) for copy in copies) for ink in inks]
    for ink, there, aside in zip(inks, kept, copied):
        if not there and not aside:
            wrong.append(f"{ink.words!r} is lost; the screen says {built.output[-200:]!r}")
        if there and not aside and ink.code and not _at_home(new, ink):
            wrong.append(f"{ink.words!r} of {ink.code}, {ink.column}, stands elsewhere")
    if name == "marks alone" and same and not all(kept):
        wrong.append(f"marks were set aside: {built.output[-200:]!r}")
    checked = _run(CHECK, folder)
    if checked.exit_code:
        wrong.append(f"the check after the build: {checked.output[-300:]}")
    counts = len(kept), sum(kept), sum(c and not k for k, c in zip(kept, copied))
    return name, counts, [f"{number}: {name}, {way}: {line}" for line in wrong]


def _run(words, folder):
    with chdir(folder):
        return CliRunner().invoke(cli.main, list(words), catch_exceptions=False)


def _text(path):
    data = path.read_bytes()
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16")
    try:
        return data.decode("utf-8-sig")
    except UnicodeError:
        return data.decode("cp1252")


def _cells(text):
    separator = max(",;\t", key=text.partition("\n")[0].count)
    return list(csv.reader(io.StringIO(text, newline=""), delimiter=separator))


def _holds(copy, words):
    return words in copy or words.replace('"', '""') in copy


def _at_home(rows, ink):
    head = next(row for row in rows if "key code" in row)
    cells = [dict(zip(head, row)) for row in rows]
    return any(
        row.get("key code") == ink.code and ink.words in row.get(ink.column, "") for row in cells
    )
