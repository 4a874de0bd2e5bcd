"""A studio folder with mistakes: what ``studio.toml`` says, and the options of its commands."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from random import Random

from bad_toml import mistaken, saved
from bad_words import word
from case import BAD_FOLDER, Case, random
from made import AROUND, STUDIO, WEEK, Made

_HERE = ("--studio", STUDIO)
_SETTINGS = f"{STUDIO}/studio.toml"

COMMANDS: tuple[tuple[str, ...], ...] = (
    ("record", "show"),
    ("term",),
    ("mark", "CODE", "--wrong", "1"),
    ("progress",),
    ("record", "sheet"),
    ("next", "--week", "2027-01-19"),
    ("record", "check"),
    ("student", "leave", "Ada Lee"),
    ("exam", "--day", "2027-01-19"),
    ("record", "save"),
    ("build", "--week", "2027-01-26"),
    ("record", "remake", "CODE", "--out", "again"),
)
"""Commands of a studio that are right; the sample has the first."""
CODES = BAD_FOLDER | {1}


def command(number: int, made: Made) -> tuple[str, ...]:
    """The command of a case."""
    words = COMMANDS[number % len(COMMANDS)]
    return tuple(made.code if one == "CODE" else one for one in words) + _HERE


def kept(made: Made, also: bytes | None = None):
    """Says what is lost, if no record in the case's folder has all marks.

    Or if none has the very bytes of ``also``.
    """
    path = Path(made.record).parent

    def lost(folder: Path) -> str:
        files = [file for file in (folder / path).glob("record.sqlite*") if file.is_file()]
        if also is not None:
            return "" if any(file.read_bytes() == also for file in files) else "the old record"
        return "" if any(map(_marks, files)) else "the marks"

    return lost


def _marks(file: Path) -> int:
    try:
        with closing(sqlite3.connect(file)) as connection:
            return connection.execute("SELECT COUNT(*) FROM mark").fetchone()[0]
    except sqlite3.Error:
        return 0


def settings(number: int, made: Made) -> Case:
    """``studio.toml`` after one to three mistakes."""
    rng = random("settings", number)
    lines = made.begun[_SETTINGS].decode().split("\n")
    lines = [
        line.removeprefix("# ") if "=" in line and rng.random() < 0.6 else line for line in lines
    ]
    if rng.random() < 0.4:
        rng.choice(_TERMS)(rng, lines)
    if rng.random() < 0.8:
        lines = mistaken(rng, lines)
    files = {**made.begun, _SETTINGS: saved(rng, lines)}
    return Case(
        "settings",
        number,
        command(number, made),
        files,
        ("studio.toml", "another studio", "no record", *_TOLD),
        CODES,
        lost=kept(made),
        environment=AROUND,
    )


_TOLD = ("roster.csv", "Ada Lee", WEEK, "no sheet", "key code", "studio folder", "exam", "lesson")


def _dates(rng: Random, lines: list[str]) -> None:
    ends = ("0001-01-01", "1900-02-28", "2027-01-12", "2027-06-05", "9999-12-31")
    _set(lines, "first_lesson", rng.choice(ends))
    _set(lines, "exam", rng.choice(ends))


def _weeks_off(rng: Random, lines: list[str]) -> None:
    count = rng.choice((1, 500, 50_000))
    day = rng.choice(("2027-02-15", "0001-01-01", "9999-12-31", '"Easter"', "nan"))
    _set(lines, "weeks_off", "[" + ", ".join([day] * count) + "]")


def _set(lines: list[str], key: str, value: str) -> None:
    lines[:] = [line for line in lines if not line.startswith((key, f"# {key}"))]
    lines.insert(lines.index("[term]") + 1, f"{key} = {value}")


_TERMS = (_dates, _dates, _weeks_off)

_DAYS = ("2027-01-19", "0001-01-01", "9999-12-31", "2027-02-30", "tomorrow")
_OPTIONS: tuple[tuple[tuple[str, ...], dict[str, tuple[str, ...]]], ...] = (
    (("record", "sheet"), {"--week": _DAYS}),
    (
        ("mark", "CODE", "--wrong", "1"),
        {
            "--wrong": ("1", "99999", "1.1-99999999", "1-", "+1", "0", "1.r1", "1" * 4000),
            "--empty": ("1", "x"),
            "--later": ("1", "0", "1-9999999999", "-1"),
            "--by": ("Bo",),
            "--table": (f"{STUDIO}/{WEEK}/mark-sheet.csv", f"{STUDIO}/{WEEK}/mark-sheet.pdf"),
            "--from-json": (f"{STUDIO}/{WEEK}/Ada-Lee/key.json", "nowhere"),
        },
    ),
    (("term",), {"--pages": ("1", "0", "21")}),
    (
        ("mark", f"{STUDIO}/{WEEK}/Ada-Lee/workbook.pdf"),
        {"--by": ("Bo",), "--all-right": (), "--not-handed-in": ()},
    ),
    (("student", "rename", "Ada Lee", "Bo"), {"--studio": ("nowhere", STUDIO, "data")}),
    (
        ("next", "--week", "2027-01-19"),
        {
            "--week": _DAYS,
            "--student": ("Ada Lee", "Bo"),
            "--pages": ("1", "20"),
            "--seed": ("x",),
            "--again": (),
        },
    ),
    (("begin", "other"), {"--roster": (f"{STUDIO}/roster.csv", f"{STUDIO}/studio.toml")}),
    (("student", "leave", "Ada Lee"), {"--back": ()}),
    (("record", "remake", "CODE"), {"--out": ("again", STUDIO, f"{STUDIO}/roster.csv")}),
    (
        ("exam", "--day", "2027-01-19"),
        {
            "--day": _DAYS,
            "--forms": ("2", "27"),
            "--tasks": ("1", "5"),
            "--student": ("Ada Lee", "Bo"),
            "--seed": ("x",),
        },
    ),
)
"""Commands of a studio that are right, and values for their options, right ones and not."""


def studio_option(number: int, made: Made) -> Case:
    """A command of a studio of which one to three values are wrong."""
    rng = random("studio option", number)
    words, options = _OPTIONS[number % len(_OPTIONS)]
    line = [made.code if one == "CODE" else one for one in words]
    for _ in range(rng.randint(1, 3)):
        if rng.random() < 0.3 and len(line) > 1:
            line[rng.randrange(1, len(line))] = word(rng)
        else:
            name = rng.choice(list(options))
            value = rng.choice(options[name] or ("",)) if rng.random() < 0.5 else word(rng)
            line += rng.choice(((name, value), (f"{name}={value}",), (name,)))
    clean = tuple(one.replace("\0", "") for one in (*line, *_HERE))
    return Case(
        "studio option",
        number,
        clean,
        made.begun,
        codes=CODES,
        lost=kept(made),
        environment=AROUND,
    )
