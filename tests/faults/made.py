"""A studio with one marked sheet, made once, of which every case takes what it needs."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

from bad_tables import TINY
from case import snapshot
from limits import run

from workbook.marking.outcome import Outcome
from workbook.studio_record.model import Mark, Way
from workbook.studio_record.record import StudioRecord
from workbook.weeks.studios import DATA, begin, record_file

ROSTER = b"student,template,keys\nAda Lee,tiny,C major\n"
WEEK = "2027-01-12"
STUDIO = "studio"
AROUND = {DATA: "data"}
"""The environment of a command that is run beside ``STUDIO``."""


@dataclass(frozen=True)
class Made:
    """``build`` has the files of a week by their names, ``begun`` those of a whole studio and of
    its record; ``code`` is the key code of its only sheet, ``record`` the name of its record.
    """

    build: dict[str, bytes]
    begun: dict[str, bytes]
    code: str
    record: str


def make(folder: Path) -> Made:
    """Make the studio in an empty folder."""
    (folder / STUDIO / "templates").mkdir(parents=True)
    (folder / STUDIO / "templates" / "tiny.toml").write_bytes(TINY)
    with patch.dict(os.environ, {DATA: str(folder / "data")}):
        record = record_file(begin(folder / STUDIO, ROSTER))
    done = run(("build", "--studio", STUDIO, "--week", WEEK), folder, AROUND)
    assert done.code == 0, done.output
    with StudioRecord(record) as marked:
        (sheet,) = marked.sheets()
        blanks = marked.workbook(sheet.code).blanks
        marked.mark(sheet.code, {blanks[0].id: Mark(Outcome.WRONG)}, Way.PAGE)
    files = {
        name: (folder / name).read_bytes() for name in snapshot(folder) if (folder / name).is_file()
    }
    week = f"{STUDIO}/{WEEK}/"
    build = {name.removeprefix(week): data for name, data in files.items() if name.startswith(week)}
    return Made(build, files, sheet.code, record.relative_to(folder).as_posix())
