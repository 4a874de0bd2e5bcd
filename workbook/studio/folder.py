"""The studio folder: ``studio.toml`` with the term and the defaults of its commands.

In: a folder. Out: a ``Studio``, or an InputError with everything wrong in ``studio.toml``.
The folder is the teacher's to read and back up: ``roster.csv``, ``studio.toml``,
``templates/``, ``fingering.toml``, and a folder for each week.
"""

from __future__ import annotations

import re
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path, PurePath
from typing import Any

from workbook.errors import InputError, OutputError
from workbook.inputs.files import read_file
from workbook.inputs.messages import quoted, reason
from workbook.inputs.problem_log import ProblemLog
from workbook.inputs.suggestions import did_you_mean
from workbook.inputs.toml_table import TomlTable, read_toml
from workbook.studio.settings import (
    LETTERS,
    MOST_PAGES,
    PAPERS,
    RULES,
    SIZES,
    STEPS,
    BuildSettings,
)

SETTINGS, ROSTER, TEMPLATES, FINGERING = (
    "studio.toml",
    "roster.csv",
    "templates",
    "fingering.toml",
)
_ID = re.compile(r"[0-9a-f]{16}\Z")
_KEYS = {
    "": ("id", "term", "build", "marking"),
    "term": ("first_lesson", "exam", "weeks_off"),
    "build": ("paper", "size", "punch", "grey", "fillable", "letters", "steps", "pages", "weekly"),
    "marking": ("rule", "safe"),
}
_NEW = """# The settings of this studio. Commands read them when they are run in this folder.
id = "{id}"   # ties the folder to its record of marks; do not change it

[term]
# first_lesson = 2027-01-12   # the day of the first lesson
# exam = 2027-06-05           # the day of the exam
# weeks_off = [2027-02-15]    # a day in each week without lessons

[build]
paper = "letter"   # or "a4", "half-letter", "a5"
size = "normal"    # "large" and "extra-large" are for low vision
pages = 2          # of a weekly sheet, 1 to 20
# weekly = true     # build also makes sheets of this many pages, not whole workbooks
# punch = true      # a wider margin at the binding
# grey = true       # answers in black on grey, for a printer without colour
# fillable = true   # also make a form of each sheet, to fill in on a screen
# letters = "german"   # note names; or "italian", "french", "spanish"
# steps = "semitone"   # semitone, tone, bar

[marking]
safe = 0.8   # a skill is safe in a key when the next box is at least this likely to be right
# rule = "share"   # points: "share" of right boxes, "one off" for each wrong box, "all or nothing"
"""


@dataclass(frozen=True)
class Term:
    """The weeks from the first lesson to the exam; ``weeks_off`` has a day of each week left out.

    Dates that are not set are None.
    """

    first_lesson: date | None = None
    exam: date | None = None
    weeks_off: tuple[date, ...] = ()

    def weeks(self) -> list[date]:
        """The lesson day of each week with lessons, up to the exam; [] without both dates."""
        off = {_week(day) for day in self.weeks_off}
        return [day for day in self.all_weeks() if _week(day) not in off]

    def all_weeks(self) -> list[date]:
        """As ``weeks``, with those that have no lesson."""
        if not self.first_lesson or not self.exam:
            return []
        count = (self.exam - self.first_lesson).days // 7 + 1
        days = [self.first_lesson + timedelta(weeks=number) for number in range(count)]
        return [day for day in days if day < self.exam]

    def lesson(self, today: date) -> date | None:
        """The next lesson day, ``today`` included; None after the last."""
        return next((day for day in self.weeks() if day >= today), None)


def _week(day: date) -> tuple[int, int]:
    year, week, _ = day.isocalendar()
    return year, week


@dataclass(frozen=True)
class Studio:
    """A studio folder and what its ``studio.toml`` says.

    ``pages`` is the length of a week's sheet. ``rule`` turns boxes into points, one of RULES;
    None leaves it to each sheet.
    ``safe`` is the least lower end of the band at which a key counts as safe, from 0 to 1.
    """

    folder: Path
    id: str
    term: Term
    build: BuildSettings
    pages: int
    rule: str | None
    safe: float

    @property
    def roster(self) -> Path:
        return self.folder / ROSTER

    def next_lesson(self, today: date) -> date:
        """The day of the next lesson; ``today`` after the last, or without a term."""
        return self.term.lesson(today) or today


def is_studio(folder: Path) -> bool:
    """Whether a folder has a ``studio.toml``."""
    return (folder / SETTINGS).is_file()


def read_studio(folder: Path) -> Studio:
    """The studio in ``folder``. Raises InputError with every problem of ``studio.toml``."""
    log = ProblemLog(SETTINGS, "line")
    found = read_toml(folder / SETTINGS, log, "make a studio folder with: workbook begin FOLDER")
    if found is None:
        raise InputError(log.problems)
    text, values = found
    lines = _lines(text)
    tables = {
        name: TomlTable(
            values if not name else _table(values, name, log, lines), log, _where(lines, name)
        )
        for name in _KEYS
    }
    for name, table in tables.items():
        for key in table.values:
            if key not in _KEYS[name]:
                hint = did_you_mean(key, _KEYS[name])
                listed = f"{name or 'the file'} may have {', '.join(_KEYS[name])}"
                table.wrong(key, f"unknown key {quoted(key)}", hint or listed)
    top, build, marking = tables[""], tables["build"], tables["marking"]
    name = top.text("id")
    if name and not _ID.match(name):
        top.wrong("id", f"id is {quoted(name)}", "restore the id that workbook begin wrote")
    rule = _optional(marking, "rule", RULES)
    pages = build.whole("pages", 1, MOST_PAGES, 2)
    studio = Studio(
        folder,
        name,
        _term(tables["term"]),
        BuildSettings(
            paper=build.one("paper", PAPERS, "letter") or "letter",
            size=build.one("size", SIZES, "normal") or "normal",
            punch=bool(build.one("punch", (True, False), False)),
            grey=bool(build.one("grey", (True, False), False)),
            fillable=bool(build.one("fillable", (True, False), False)),
            letters=_optional(build, "letters", LETTERS),
            steps=_optional(build, "steps", STEPS),
            fingering=_present(folder / FINGERING),
            template_dir=_present(folder / TEMPLATES),
            marking=rule,
            pages=pages if build.one("weekly", (True, False), False) else None,
        ),
        pages,
        rule,
        _share(marking, "safe", 0.8),
    )
    if log:
        raise InputError(log.problems)
    return studio


def _optional(table: TomlTable, key: str, allowed: tuple[str, ...]) -> str | None:
    return table.one(key, allowed) if key in table.values else None


def _present(path: Path) -> Path | None:
    return path if path.exists() else None


def _table(
    values: dict[str, Any], name: str, log: ProblemLog, lines: dict[tuple[str, str], int]
) -> dict[str, Any]:
    value = values.get(name, {})
    if isinstance(value, dict):
        return value
    log.add(lines.get(("", name)), f"{name} is {quoted(value)}", f"write a line [{name}]")
    return {}


def _lines(text: str) -> dict[tuple[str, str], int]:
    """The line of each key, by table and key; the key "" stands for the table's header."""
    found: dict[tuple[str, str], int] = {}
    table = ""
    for number, line in enumerate(text.split("\n"), 1):
        if header := re.match(r"\s*\[\s*([\w-]+)\s*\]", line):
            table = header[1]
            found.setdefault((table, ""), number)
        elif key := re.match(r"\s*([\w-]+)\s*=", line):
            found.setdefault((table, key[1]), number)
    return found


def _where(lines: dict[tuple[str, str], int], table: str) -> Any:
    return lambda key: lines.get((table, key)) or lines.get((table, ""))


def _term(table: TomlTable) -> Term:
    first, exam = _day(table, "first_lesson"), _day(table, "exam")
    if first and exam and exam <= first:
        table.wrong("exam", f"exam is {exam}", f"write a day after the first lesson, {first}")
    off = table.values.get("weeks_off", [])
    days = []
    for value in off if isinstance(off, list) else [off]:
        if type(value) is date:
            days.append(value)
        else:
            table.wrong(
                "weeks_off",
                f"weeks_off has {quoted(value)}",
                "write dates without quotes, such as [2027-02-15]",
            )
    return Term(first, exam, tuple(days))


def _day(table: TomlTable, key: str) -> date | None:
    value = table.values.get(key)
    if value is None or type(value) is date:
        return value
    table.wrong(
        key, f"{key} is {quoted(value)}", f"write a date without quotes: {key} = 2027-01-12"
    )
    return None


def _share(table: TomlTable, key: str, default: float) -> float:
    value = table.values.get(key, default)
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value < 1:
        table.wrong(key, f"{key} is {quoted(value)}", "write a number between 0 and 1, such as 0.8")
        return default
    return float(value)


def _put(path: Path, data: bytes) -> None:
    """Write a new file; it is never seen half written."""
    half = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        half.write_bytes(data)
        half.replace(path)
    finally:
        half.unlink(missing_ok=True)


def new_studio(
    folder: Path, roster: bytes, beside: Mapping[PurePath, bytes] | None = None
) -> Studio:
    """Make a studio folder with ``roster`` as its roster.

    ``beside`` has the files that rows name, by their paths from the roster. Existing files are
    left alone. The settings come last: without them, the folder is no studio yet, and to begin
    again makes what is missing. Raises OutputError if there is a studio already, or a roster or
    another of these files that differs.
    """
    if is_studio(folder):
        raise OutputError(f"{folder} is already a studio folder")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        files = {PurePath(ROSTER): roster, **(beside or {})}
        for file, data in files.items():
            if (folder / file).exists() and read_file(folder / file) != data:
                raise OutputError(f"{folder / file} already exists; leave out --roster to use it")
        (folder / TEMPLATES).mkdir(exist_ok=True)
        for file, data in files.items():
            if not (folder / file).exists():
                (folder / file).parent.mkdir(parents=True, exist_ok=True)
                _put(folder / file, data)
        _put(folder / SETTINGS, _NEW.format(id=secrets.token_hex(8)).encode())
    except OSError as error:
        raise OutputError(f"cannot write into {folder}: {reason(error)}") from None
    return read_studio(folder)
