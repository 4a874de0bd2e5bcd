"""The settings of one row of the roster: a student's paper, size, note names and fingerings.

In: the cells of a row. Out: checked ``OwnSettings``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from workbook.inputs.messages import any_of, quoted
from workbook.inputs.suggestions import did_you_mean
from workbook.studio.settings import CHOICES

COLUMNS = (*CHOICES, "fingering")


@dataclass(frozen=True)
class OwnSettings:
    """A row's own settings; None where it leaves a setting to the build.

    ``fingering`` is the path of a file of fingerings.
    """

    paper: str | None = None
    size: str | None = None
    letters: str | None = None
    steps: str | None = None
    fingering: str | None = None

    def cells(self) -> dict[str, str]:
        """The settings as a roster has them, without those that are left to the build.

        Of a file of fingerings only the name: where it lies depends on the machine.
        """
        found = {name: getattr(self, name) for name in COLUMNS}
        return {
            name: Path(value).name if name == "fingering" else value
            for name, value in found.items()
            if value is not None
        }


NONE = OwnSettings()


def own_settings(
    cells: Mapping[str, str],
    base: Path,
    wrong: Callable[[str, str], object],
    suggest: bool = True,
) -> OwnSettings:
    """The settings in the ``cells`` of a row; ``wrong`` takes what is wrong and what to write.

    A fingering file is looked up from the folder ``base``. Without ``suggest``, no likely value is
    suggested, which takes long for many rows.
    """
    chosen = {name: _choice(name, cells.get(name, ""), wrong, suggest) for name in CHOICES}
    return OwnSettings(**chosen, fingering=_file(cells.get("fingering", ""), base, wrong))


def _choice(name: str, text: str, wrong: Callable[[str, str], object], suggest: bool) -> str | None:
    if not text:
        return None
    allowed = CHOICES[name]
    value = text.casefold()
    if value in allowed:
        return value
    listed = any_of([quoted(one) for one in allowed])
    hint = (suggest and did_you_mean(text, allowed)) or f"write {listed}, or leave it empty"
    wrong(f"{name} is {quoted(text)}", hint)
    return None


def _file(text: str, base: Path, wrong: Callable[[str, str], object]) -> str | None:
    if not text:
        return None
    path = base / text
    try:
        there = path.is_file()
    except (OSError, ValueError):
        there = False
    if there:
        return str(path)
    wrong(f"there is no fingering file {quoted(text)}", "name one in the folder of the roster")
    return None
