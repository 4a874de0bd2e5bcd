"""Workbooks that an earlier build wrote, for the print jobs and the mark sheet.

In: the folder of a build, and that of a row in it. Out: what the studio's files need to know
of each workbook, or ``NotReadable``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath

from workbook.design import PAPERS
from workbook.inputs.files import read_file
from workbook.marking.mark_sheet import Marked
from workbook.pdf import finished
from workbook.planning.dealing import form_letters
from workbook.record.files import ANSWER_KEY, KEY, WORKBOOK
from workbook.record.model import Record
from workbook.record.reader import Unreadable, read_record

_MOST_BYTES = 32_000_000
_FORM = "form-"


class NotReadable(Exception):
    """A file of an earlier build cannot be read; the text says which."""


@dataclass(frozen=True)
class There:
    """A workbook in ``folder``; ``paper`` is the name of its paper."""

    folder: Path
    marked: Marked
    paper: str


def form_folder(folder: PurePath, form: str) -> PurePath:
    """The folder of one form of a row's workbook; ``form`` is "" for an only one."""
    return folder / f"{_FORM}{form}" if form else folder


def there(root: Path, row: PurePath, forms: int) -> list[There]:
    """The workbooks of a row in the build's folder ``root``: its ``forms`` forms if they are
    there, or else those that are.

    Raises NotReadable if a file was damaged, or changed by another program.
    """
    wanted = [root / form_folder(row, letter) for letter in form_letters(forms)]
    if not all((place / KEY).is_file() for place in wanted):
        wanted = _every(root / row)
    return [_read(place) for place in wanted]


def _every(folder: Path) -> list[Path]:
    if (folder / KEY).is_file():
        return [folder]
    return sorted(path.parent for path in folder.glob(f"{_FORM}[A-Z]/{KEY}"))


def _read(folder: Path) -> There:
    file = KEY
    try:
        record = read_record(read_file(folder / KEY, _MOST_BYTES).decode("utf-8"))
        if record.paper not in PAPERS:
            raise Unreadable(f"its paper is unknown: {record.paper}")
        for file in (WORKBOOK, ANSWER_KEY):
            finished.FinishedPdf((folder / file).read_bytes())
    except (OSError, UnicodeDecodeError, Unreadable, finished.Unreadable) as error:
        raise NotReadable(f"{folder / file} cannot be read") from error
    return There(folder, _marked(record), record.paper)


def _marked(record: Record) -> Marked:
    title = f"{record.title}, form {record.form}" if record.form else record.title
    sections: Sequence[tuple[str, str, int]] = [
        (part.letter, part.title, sum(item.points for item in part.items))
        for part in record.sections
    ]
    return Marked(record.student, title, record.code, tuple(sections))
