"""Changes the teacher's TOML files and keeps comments, order and spacing.

In: a file and a change. Out: the file changed, if its own reader takes the result; else it stays
as it was. tomlkit keeps what is not changed, byte for byte.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path

import tomlkit
from tomlkit.exceptions import TOMLKitError

from workbook.builds.publish import rewriting
from workbook.errors import InputError, Problem
from workbook.inputs.messages import reason


def document(text: str, name: str) -> tomlkit.TOMLDocument:
    """The text of the file ``name``, to be changed. Raises InputError if it is not TOML."""
    try:
        return tomlkit.parse(text)
    except TOMLKitError:
        raise InputError([Problem(name, "", "is not TOML;", "mend it in an editor")]) from None


def checked(text: str, name: str, read: Callable[[Path], object]) -> None:
    """Raise what ``read`` raises for a file ``name`` with this text."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, name)
        try:
            file.write_bytes(text.encode())
        except (OSError, UnicodeError) as error:
            told = reason(error) if isinstance(error, OSError) else "has half a character"
            raise InputError([Problem(name, "", f"{told};", "type it again")]) from None
        read(file)


def save(file: Path, text: str) -> None:
    """Put ``text`` in place of the file, all or nothing. Raises OutputError."""
    with rewriting(file) as out:
        out.write(text.encode())
