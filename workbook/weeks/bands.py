"""How far the bands of a studio are widened: the same on pages, in tables and in what is set next.

In: an open studio. Out: the ``Calibration`` that the marks of all its students give.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial

from workbook.estimates.calibration import Calibration, Forecast, calibration, forecasts
from workbook.weeks.kept import Kept
from workbook.weeks.results import marked_sheets, results
from workbook.weeks.studios import OpenStudio

Version = tuple[tuple[str, str, str, int], ...]
"""The sheets of a student by code, week and state, each with the number of its last marking."""
_logs: Kept[Sequence[Forecast]] = Kept()
"""The log of each student, by studio: to read all sheets of a studio takes seconds."""


def studio_calibration(
    studio: OpenStudio,
    students: Iterable[str],
    log_of: Callable[[str], Sequence[Forecast]] | None = None,
) -> Calibration:
    """How often marks fell into the band, over all ``students``, and how far to widen it.

    ``log_of`` gives the log of a student, by default from the record. Raises RecordError.
    """
    versions = sheet_versions(studio)
    log_of = log_of or partial(student_log, studio)
    log: list[Forecast] = []
    for name in dict.fromkeys(students):
        place, version = (studio.studio.id, name), versions.get(name, ())
        log += _logs.value(place, version, partial(log_of, name))
    return calibration(log)


def student_log(studio: OpenStudio, name: str) -> Sequence[Forecast]:
    """A forecast of every result of a student, from the record. Raises RecordError."""
    return forecasts(results(marked_sheets(studio, name)))


def sheet_versions(studio: OpenStudio) -> dict[str, Version]:
    """What shows whether the sheets or the marks of a student have changed, by name."""
    last = studio.record.versions()
    found: dict[str, list[tuple[str, str, str, int]]] = {}
    for one in studio.record.sheets():
        line = (one.code, one.week, str(one.state), last.get(one.code, 0))
        found.setdefault(one.student, []).append(line)
    return {student: tuple(lines) for student, lines in found.items()}
