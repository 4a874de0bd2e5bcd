"""The exceptions that a teacher may meet, each with its exit code.

In: nothing. Out: exceptions whose text can be printed as it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import ClassVar

MOST_LISTED = 50
"""How many problems or findings a message lists before it says how many more there are."""


class ExitCode(IntEnum):
    """What the command returns to the shell; the README's table says when.

    A signal gives SIGNALLED plus its number.
    """

    DONE = 0
    FAILED = 1
    BAD_INPUT = 2
    NO_ENGRAVER = 3
    NOT_ENGRAVED = 4
    NOT_WRITTEN = 5
    CHECK_FAILED = 6


SIGNALLED = 128
"""What shells add to the number of the signal that ended a program."""


class WorkbookError(Exception):
    """Anything that stops a command; ``exit_code`` is what the process returns."""

    exit_code: ClassVar[int] = ExitCode.FAILED

    def __reduce__(self) -> tuple[object, ...]:
        # errors cross unchanged from a worker process, whatever their __init__ takes
        return _again, (type(self), self.args, self.__dict__)


def _again(
    kind: type[WorkbookError], args: tuple[object, ...], attributes: dict[str, object]
) -> WorkbookError:
    error = kind.__new__(kind, *args)
    error.__dict__.update(attributes)
    return error


@dataclass(frozen=True, order=True)
class Problem:
    """One thing wrong in a file that the teacher wrote.

    ``place`` names the row or line ("row 4", "line 12"; empty for the whole
    file), ``what`` says what is wrong, ``instead`` what to write in its place.
    """

    file: str
    place: str
    what: str
    instead: str = ""

    def __str__(self) -> str:
        where = f"{self.file}, {self.place}" if self.place else self.file
        return f"{where}: {self.what}" + (f" {self.instead}" if self.instead else "")


class InputError(WorkbookError):
    """Everything wrong in the teacher's input, found before any work starts.

    ``problems`` has all of them; the text lists the first ``MOST_LISTED``.
    """

    exit_code = ExitCode.BAD_INPUT

    def __init__(self, problems: Iterable[Problem]):
        self.problems = tuple(problems)
        super().__init__("\n".join(listed_lines(self.problems)))


class EngraverMissing(WorkbookError):
    """LilyPond is not installed on this computer; the text says what to install."""

    exit_code = ExitCode.NO_ENGRAVER


class EngravingError(WorkbookError):
    """LilyPond failed, or drew something other than what was asked."""

    exit_code = ExitCode.NOT_ENGRAVED


class OutputError(WorkbookError):
    """The finished files could not be put in place; the old ones are untouched."""

    exit_code = ExitCode.NOT_WRITTEN


@dataclass(frozen=True, order=True)
class Finding:
    """One thing wrong in a workbook that was built.

    ``folder`` and ``file`` say where; ``page`` counts from 1, 0 for the whole file.
    """

    folder: str
    file: str
    page: int
    what: str

    def __str__(self) -> str:
        place = f", page {self.page}" if self.page else ""
        return f"{self.folder}/{self.file}{place}: {self.what}"


class CheckFailed(WorkbookError):
    """Files that were built are faulty.

    ``findings`` has every fault; the text is ``head`` and the first ``MOST_LISTED``.
    """

    exit_code = ExitCode.CHECK_FAILED

    def __init__(self, findings: Iterable[Finding], head: str = ""):
        self.findings = tuple(findings)
        super().__init__("\n".join(filter(None, [head, *listed_lines(self.findings)])))


def listed_lines(items: Sequence[object]) -> list[str]:
    """A line for each of the first items, then how many more there are."""
    lines = [str(item) for item in items[:MOST_LISTED]]
    more = len(items) - MOST_LISTED
    return [*lines, f"and {more:,} more"] if more > 0 else lines
