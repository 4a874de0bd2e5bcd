"""What was set to each student, read from the ``key.json`` files of earlier builds.

In: folders. Out: for each student what planning needs to know, or an ``InputError`` with
every file that cannot be read.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from workbook.errors import InputError, Problem
from workbook.inputs.files import read_file, real
from workbook.inputs.messages import reason
from workbook.planning.coverage import Earlier
from workbook.preflight.records import folders as books
from workbook.record.files import KEY
from workbook.record.identity import item_identity
from workbook.record.model import Record
from workbook.record.reader import Unreadable, read_record

_MOST_BYTES = 32_000_000


@dataclass
class _Set:
    """What was set to one student so far."""

    identities: set[str] = field(default_factory=set)
    keys: Counter[tuple[str, str]] = field(default_factory=Counter)
    templates: Counter[str] = field(default_factory=Counter)

    def add(self, record: Record) -> None:
        for item in record.items:
            self.identities.add(item_identity(item))
            self.keys[item.family, item.key] += 1
        self.templates[record.template] += 1


def earlier_sheets(folders: Iterable[Path | str], out: Path) -> Mapping[str, Earlier]:
    """What was set to each student on the sheets in ``folders`` and in all folders below them.

    Sheets in ``out``, which are about to be built again, do not count.

    Raises InputError with a problem for each folder without sheets and each file that cannot
    be read.
    """
    problems: list[Problem] = []
    found: dict[str, _Set] = {}
    for record in _records([Path(folder) for folder in folders], real(out), problems):
        found.setdefault(record.student, _Set()).add(record)
    if problems:
        raise InputError(problems)
    return {
        student: Earlier(frozenset(one.identities), dict(one.keys), dict(one.templates))
        for student, one in found.items()
    }


def _records(folders: list[Path], out: Path, problems: list[Problem]) -> Iterator[Record]:
    seen: set[Path] = set()
    for folder in folders:
        files = [place / KEY for place in books(folder)]
        if not files:
            problems.append(
                Problem(
                    folder.name or str(folder),
                    "",
                    f"has no sheets: there is no {KEY} in it or below it;",
                    "name the folder of a build",
                )
            )
        for file in files:
            place = real(file)
            if place in seen or place.is_relative_to(out):
                continue
            seen.add(place)
            try:
                yield read_record(read_file(file, _MOST_BYTES).decode("utf-8"))
            except UnicodeDecodeError:
                problems.append(_damaged(file, folder, "it is not UTF-8"))
            except OSError as error:
                problems.append(_damaged(file, folder, reason(error)))
            except Unreadable as error:
                problems.append(_damaged(file, folder, str(error)))


def _damaged(file: Path, folder: Path, why: str) -> Problem:
    name = (Path(folder.name) / file.relative_to(folder)).as_posix()
    return Problem(name, "", f"cannot be read: {why};", "leave that sheet out, or build it again")
