"""The one exception tree: every failure the teacher can meet, with its exit code.

In: nothing. Out: exceptions whose text is fit to print as it stands.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


class WorkbookError(Exception):
    """Anything that stops a command; ``exit_code`` is what the process returns."""

    exit_code = 1

    def __reduce__(self):
        # an error crosses from a worker process as it is, whatever its __init__ takes
        return _again, (type(self), self.args, self.__dict__)


def _again(kind, args, attributes):
    error = kind.__new__(kind, *args)
    error.__dict__.update(attributes)
    return error


@dataclass(frozen=True, order=True)
class Problem:
    """One thing wrong in a file the teacher wrote.

    ``place`` names the row or line ("row 4", "line 12"; empty for the whole
    file), ``what`` says what is wrong, ``instead`` what would be right.
    """

    file: str
    place: str
    what: str
    instead: str = ""

    def __str__(self) -> str:
        where = f"{self.file}, {self.place}" if self.place else self.file
        return f"{where}: {self.what}" + (f" {self.instead}" if self.instead else "")


class InputError(WorkbookError):
    """Everything wrong in the teacher's input, found before any work starts."""

    exit_code = 2

    def __init__(self, problems: Iterable[Problem]):
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class EngraverMissing(WorkbookError):
    """No LilyPond on this machine; the text says what to install."""

    exit_code = 3


class EngravingError(WorkbookError):
    """LilyPond ran and failed, or drew something other than what was asked."""

    exit_code = 4


class OutputError(WorkbookError):
    """The finished files could not be put in place; the old ones are untouched."""

    exit_code = 5


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
    """Files that were built are not as they must be; the text lists every finding."""

    exit_code = 6

    def __init__(self, findings: Iterable[Finding], head: str = ""):
        self.findings = tuple(findings)
        super().__init__("\n".join([*filter(None, [head]), *map(str, self.findings)]))
