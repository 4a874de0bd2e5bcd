"""The problems of one file, collected while it is read.

In: places and sentences. Out: ``Problem`` values, in the order of the file.
"""

from __future__ import annotations

from pathlib import Path

from workbook.errors import MOST_LISTED, InputError, Problem
from workbook.inputs.files import MOST_BYTES, read_file
from workbook.inputs.messages import reason


class ProblemLog:
    """What is wrong in one file; ``unit`` is what its places are called, "row" or "line"."""

    def __init__(self, file: str, unit: str):
        self._file, self._unit = file, unit
        self._found: list[tuple[int, Problem]] = []

    def add(self, number: int | None, what: str, instead: str = "") -> None:
        """Record a problem: its place or None for the whole file, and what to write instead."""
        place = f"{self._unit} {number}" if number else ""
        told = what + (";" if instead else "")
        self._found.append((number or 0, Problem(self._file, place, told, instead)))

    def __len__(self) -> int:
        return len(self._found)

    @property
    def full(self) -> bool:
        """Whether a message would not list further problems: they need no suggestion."""
        return len(self._found) >= MOST_LISTED

    @property
    def problems(self) -> list[Problem]:
        """The problems by place: those of the whole file first."""
        return [problem for _, problem in sorted(self._found, key=lambda found: found[0])]


def read_bytes(path: Path, log: ProblemLog, most: int) -> bytes | None:
    """The content of a file of at most ``most`` bytes, or None, with a problem in ``log``."""
    try:
        return read_file(path, most)
    except OSError as error:
        log.add(None, f"cannot be read: {reason(error)}")
        return None


def bytes_of(path: Path, most: int = MOST_BYTES) -> bytes:
    """The content of a file. Raises InputError if it cannot be read, or has more than ``most``."""
    log = ProblemLog(path.name, "")
    data = read_bytes(path, log, most)
    if data is None:
        raise InputError(log.problems)
    return data
