"""The problems of one file, collected while it is read.

In: places and sentences. Out: ``Problem`` values, in the order of the file.
"""

from __future__ import annotations

from pathlib import Path

from workbook.errors import Problem
from workbook.inputs.files import read_file


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
    def problems(self) -> list[Problem]:
        """The problems by place: those of the whole file first."""
        return [problem for _, problem in sorted(self._found, key=lambda found: found[0])]


def read_bytes(path: Path, log: ProblemLog) -> bytes | None:
    """The content of a file, or None, with a problem in ``log``, if it cannot be read."""
    try:
        return read_file(path)
    except OSError as error:
        log.add(None, f"cannot be read: {error.strerror or error}")
        return None
