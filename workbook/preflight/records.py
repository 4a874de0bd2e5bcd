"""Finds and reads the records of a build.

In: a folder. Out: what the pages must show according to each ``key.json``.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path

from workbook.errors import Finding
from workbook.inputs import messages
from workbook.inputs.files import read_file
from workbook.inputs.natural_order import natural_path
from workbook.preflight.expected import Expected, expected
from workbook.record.files import EXAMINERS_SHEET, KEY
from workbook.record.reader import Unreadable, read_record

_MOST_BYTES = 32_000_000
"""The largest ``key.json`` that is read; that of 60 exercises has 0.3 MB."""


def folders(root: Path) -> list[Path]:
    """Every folder of a workbook, ``root`` or below it, except hidden ones.

    Numbers in their names sort as numbers. An examiner's sheet has a ``key.json`` too.
    """
    found = (path for path in root.rglob(KEY) if not hidden(path, root))
    books = (path.parent for path in found if not path.with_name(EXAMINERS_SHEET).exists())
    return sorted(books, key=natural_path)


def hidden(path: Path, root: Path) -> bool:
    """Whether ``path``, or a folder between it and ``root``, has a name that begins with a dot."""
    return any(part.startswith(".") for part in path.relative_to(root).parts)


def read(folder: Path) -> Expected | str:
    """What the pages in ``folder`` must show, or why that cannot be read."""
    try:
        return expected(read_record(read_file(folder / KEY, _MOST_BYTES).decode("utf-8")))
    except UnicodeDecodeError:
        return "cannot be read: it is not UTF-8 text"
    except (OSError, Unreadable) as error:
        return f"cannot be read: {reason(error)}"


def codes(root: Path) -> dict[Path, str]:
    """The key code of each workbook below ``root``, by its folder; "" if it cannot be read.

    The rest of the records is not read.
    """
    return {folder: _code(folder) for folder in folders(root)}


def _code(folder: Path) -> str:
    try:
        code = json.loads(read_file(folder / KEY, _MOST_BYTES))["code"]
    except (OSError, ValueError, LookupError, TypeError, RecursionError):
        return ""
    return code if isinstance(code, str) else ""


def reason(error: Exception) -> str:
    """Why a file could not be read."""
    return messages.reason(error) if isinstance(error, OSError) else str(error)


def found_in(name: str, file: str, faults: Iterable[tuple[int, str]]) -> list[Finding]:
    """The faults of one file as findings."""
    return [Finding(name, file, page, what) for page, what in faults]
