"""Options that several commands share."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import click

from workbook.inputs.files import kind
from workbook.inputs.messages import quoted, reason
from workbook.studio.settings import LETTERS, MOST_PAGES, PAPERS, SIZES, STEPS

Decorated = TypeVar("Decorated", bound=Callable[..., Any])
Decorator = Callable[[Decorated], Decorated]


class Place(click.Path):
    """A file or folder, with our own messages."""

    def __init__(self, folder: bool, there: bool, looked_at: bool = True):
        super().__init__(path_type=Path)
        self._folder, self._there, self._looked_at = folder, there, looked_at
        self.name = "folder" if folder else "file"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The path. Fails if the name is empty, or if the file is missing or in the way."""
        if not str(value).strip():
            self.fail(f"the name is empty; name a {self.name}", param, ctx)
        if "\0" in str(value):
            self.fail("the name has a NUL character; remove it", param, ctx)
        path = Path(value)
        if not self._looked_at:
            return path
        try:
            found = path.exists()
            wrong = found and not (path.is_dir() if self._folder else path.is_file())
        except OSError as error:
            why = reason(error)
            self.fail(f"{quoted(str(value))} is not a valid {self.name} name: {why}", param, ctx)
        if self._there and not found:
            self.fail(f"there is no {self.name} {quoted(str(value))}", param, ctx)
        if wrong:
            self.fail(f"{quoted(str(value))} is {kind(path)}; name a {self.name}", param, ctx)
        return path


class Whole(click.IntRange):
    """A whole number in a range, with our own messages."""

    name = "number"

    def __init__(self, low: int, high: int):
        super().__init__(low, high)
        self._low, self._high = low, high

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The number; fails if it is none or out of the range."""
        digits = str(value).strip()
        if digits.isascii() and digits.isdecimal() and len(digits) < 10:
            number = int(digits)
            if self._low <= number <= self._high:
                return number
        told = f"{quoted(digits)} is not {self._described()}"
        return self.fail(told, param, ctx)

    def _described(self) -> str:
        return f"a whole number from {self._low} to {self._high}"


class Day(click.types.StringParamType):
    """A date, with our own messages."""

    name = "YYYY-MM-DD"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The date; fails if it is none."""
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(str(value).strip())
        except ValueError:
            told = f"{quoted(str(value))} is not a date; write it as 2027-01-12"
            return self.fail(told, param, ctx)


NONE = "none"
"""Written in place of a day, takes it out."""


class DayOrNone(Day):
    """As ``Day``, or ``NONE``."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The date, or ``NONE``; fails if it is neither."""
        return NONE if value == NONE else super().convert(value, param, ctx)


DAY, DAY_OR_NONE = Day(), DayOrNone()
PAGES = Whole(1, MOST_PAGES)
EXISTING_FILE = Place(folder=False, there=True)
EXISTING_FOLDER = Place(folder=True, there=True)
NAMED_FILE = Place(folder=False, there=False, looked_at=False)
"""A file that the command looks at later, with others."""
NEW_FILE = Place(folder=False, there=False)
FOLDER = Place(folder=True, there=False)


def page_options(command: Decorated) -> Decorated:
    """``--paper``, ``--size`` and ``--punch``: how pages look."""
    return _all(
        click.option(
            "--paper",
            type=click.Choice(PAPERS, case_sensitive=False),
            default="letter",
            show_default=True,
            help="Paper size.",
        ),
        click.option(
            "--size",
            type=click.Choice(SIZES),
            default="normal",
            show_default=True,
            help="Size of staves, text and boxes; the larger ones are for low vision.",
        ),
        click.option(
            "--punch",
            is_flag=True,
            help="Leave a wider margin at the binding, for two-sided printing.",
        ),
    )(command)


def grey_option(command: Decorated) -> Decorated:
    """``--grey``: answer keys for a printer without colour."""
    return click.option(
        "--grey",
        is_flag=True,
        help="Print answers in black on grey, for a printer without colour.",
    )(command)


def word_options(command: Decorated) -> Decorated:
    """``--letters`` and ``--steps``: what notes and steps are called."""
    return _all(
        click.option(
            "--letters",
            type=click.Choice(LETTERS),
            help="Note names: German uses H and B; the last three use do re mi.  "
            "[default: as the template says]",
        ),
        click.option(
            "--steps",
            type=click.Choice(STEPS),
            help="Half step, whole step, measure; or semitone, tone, bar.  "
            "[default: as the template says]",
        ),
    )(command)


def fingering_option(command: Decorated) -> Decorated:
    """``--fingering``: a file of the teacher's own."""
    return click.option(
        "--fingering",
        type=EXISTING_FILE,
        help="A file of your own fingerings, overriding the built-in ones.",
    )(command)


def studio_option(command: Decorated) -> Decorated:
    """``--studio``: the studio folder, by default the one that the command runs in."""
    return click.option(
        "--studio",
        type=EXISTING_FOLDER,
        default=Path(),
        help="The studio folder.  [default: the folder you are in]",
    )(command)


def week_option(command: Decorated) -> Decorated:
    """``--week``: the day of the lesson for which sheets are set."""
    return click.option(
        "--week", type=DAY, help="The day of the lesson.  [default: the next lesson]"
    )(command)


def students_option(command: Decorated) -> Decorated:
    """``--student``: some students instead of all."""
    return click.option(
        "--student", "students", multiple=True, help="For this student only; may be repeated."
    )(command)


def weekly_option(command: Decorated) -> Decorated:
    """``--pages``: weekly sheets in place of whole workbooks."""
    return click.option(
        "--pages",
        type=PAGES,
        help="Make weekly sheets of this many pages, each with a share of its template. The number "
        "or day in a title says which sheet of the round it is.  [default: as the template says]",
    )(command)


def sheet_pages_option(command: Decorated) -> Decorated:
    """``--pages``: the length of a week's sheet."""
    return click.option(
        "--pages", type=PAGES, help="Pages of each sheet.  [default: as studio.toml says]"
    )(command)


def template_dir_option(command: Decorated) -> Decorated:
    """``--template-dir``: a folder of the teacher's own templates."""
    return click.option(
        "--template-dir",
        type=EXISTING_FOLDER,
        help="Folder of your own templates, overriding built-in ones of the same name.",
    )(command)


def _all(*options: Decorator[Decorated]) -> Decorator[Decorated]:
    """The options as one decorator, in the order in which ``--help`` lists them."""

    def decorate(command: Decorated) -> Decorated:
        for option in reversed(options):
            command = option(command)
        return command

    return decorate
