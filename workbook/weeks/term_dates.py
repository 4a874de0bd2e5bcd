"""The dates of the term, changed in ``studio.toml``.

In: a studio and dates. Out: the same file with these dates, its comments kept.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

import tomlkit

from workbook.inputs.toml_table import text_of
from workbook.studio.folder import SETTINGS, Studio, read_studio
from workbook.weeks.toml_edits import checked, document, save

_SILENT = re.compile(r"#[ \t]*(first_lesson|exam|weeks_off)[ \t]*=[ \t]*[\[\d]", re.MULTILINE)
"""A line of a new studio that is still a comment."""


def set_term(
    studio: Studio, first_lesson: date | None, exam: date | None, weeks_off: Sequence[date]
) -> None:
    """Write the dates of the term; None removes one.

    Raises InputError if the dates do not go together or the file cannot be read, OutputError.
    """
    file = studio.folder / SETTINGS
    text = _changed(text_of(file), first_lesson, exam, sorted(set(weeks_off)))
    checked(text, SETTINGS, lambda path: read_studio(path.parent))
    save(file, text)


def check_term(first_lesson: date | None, exam: date | None) -> None:
    """Raise InputError if the dates could not be those of a studio."""
    text = _changed(f'id = "{"0" * 16}"\n', first_lesson, exam, ())
    checked(text, SETTINGS, lambda path: read_studio(path.parent))


def toggle_week(studio: Studio, day: date) -> None:
    """Take the lesson of the week of ``day`` out of the term, or put it back. Raises as above."""
    term = studio.term
    kept = weeks_off(term.weeks_off, back=[day])
    if len(kept) == len(term.weeks_off):
        kept = weeks_off(kept, off=[day])
    set_term(studio, term.first_lesson, term.exam, kept)


def weeks_off(
    now: Sequence[date], off: Sequence[date] = (), back: Sequence[date] = ()
) -> list[date]:
    """The weeks left out when those of the days in ``off`` are too, and those in ``back`` are not.

    A day stands for its week, from Monday to Sunday.
    """
    lessons = {day.isocalendar()[:2] for day in back}
    kept = {day.isocalendar()[:2]: day for day in (*off, *now)}
    return [day for week, day in kept.items() if week not in lessons]


def _changed(text: str, first: date | None, exam: date | None, off: Sequence[date]) -> str:
    wanted = {"first_lesson": first, "exam": exam, "weeks_off": list(off) or None}
    found = document(text, SETTINGS)
    present = found.get("term", {})
    silent = {name for name, value in wanted.items() if value and name not in present}
    if silent and not isinstance(found.get("term"), dict):
        found["term"] = tomlkit.table()
    else:
        found = document(_spoken(text, silent), SETTINGS)
    term = found.get("term", {})
    for name, value in wanted.items():
        if value:
            term[name] = value
        elif name in term:
            del term[name]
    return tomlkit.dumps(found)


def _spoken(text: str, names: set[str]) -> str:
    """The text with the commented lines of ``names`` as lines that are read."""
    said: set[str] = set()

    def spoken(found: re.Match[str]) -> str:
        if found[1] not in names or found[1] in said:
            return found[0]
        said.add(found[1])
        return found[0].lstrip("# \t")

    start, end = _term_lines(text)
    return text[:start] + _SILENT.sub(spoken, text[start:end]) + text[end:]


def _term_lines(text: str) -> tuple[int, int]:
    """Where the table [term] begins and ends."""
    header = re.search(r"^[ \t]*\[[ \t]*term[ \t]*\]", text, re.MULTILINE)
    if not header:
        return len(text), len(text)
    after = re.search(r"^[ \t]*\[", text[header.end() :], re.MULTILINE)
    return header.end(), header.end() + after.start() if after else len(text)
