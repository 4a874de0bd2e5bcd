"""A studio whose commands are killed, and what must hold after the next command.

Every sheet on disk is in the record and whole, every sheet in the record is on disk, and every
mark that was acknowledged is in the record.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from bad_tables import TINY
from kills import DISTURBED
from limits import COMMAND, environment

from workbook.record.files import IN_EACH_FOLDER, KEY
from workbook.studio_record.record import StudioRecord

ROSTER = "student,template,keys\nAda Lee,tiny,C major; G major\nBo Wren,tiny,F major; D major\n"
WEEKS = ("2027-01-12", "2027-01-19")
BUILD = ("build", "--week", WEEKS[1])
NEXT = ("next", "--week", WEEKS[1], "--pages", "1")
REPLACE = ("build", "--week", WEEKS[0], "--replace", "--seed", "other")
REPRINT = ("build", "--week", WEEKS[0], "--replace", "--paper", "a4")
EXAM = ("exam", "--day", "2027-01-19", "--tasks", "1")
SETTING = {"next": NEXT, "build": BUILD, "replace": REPLACE, "reprint": REPRINT, "exam": EXAM}
SHOW = ("record", "show")
_MOST_SECONDS = 300
"""A command takes seconds, or minutes beside much else; one that hangs is a fault."""


def around(folder: Path) -> dict[str, str]:
    """The environment in which the record of a studio lies beside it."""
    return environment({"WORKBOOK_DATA": str(folder / "data"), "PYTHONUNBUFFERED": "1"})


def run(folder: Path, words: Sequence[str], **more: object) -> subprocess.CompletedProcess[str]:
    """Run a command in the studio to its end."""
    return _run(folder, [*COMMAND, *words], **more)


def disturbed(
    folder: Path, what: str, which: str, at: float, words: Sequence[str]
) -> subprocess.CompletedProcess[str]:
    """Run a command that is disturbed (see ``disturbed.py``)."""
    log = folder / "log"
    start = [sys.executable, str(DISTURBED), str(folder / "studio"), str(log), what, which]
    return _run(folder, [*start, str(at), "--", *words])


def _run(folder: Path, words: Sequence[str], **more: object) -> subprocess.CompletedProcess[str]:
    try:
        return subprocess.run(
            words,
            cwd=folder / "studio",
            env=around(folder),
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            timeout=_MOST_SECONDS,
            **more,
        )
    except subprocess.TimeoutExpired:
        told = f"did not end within {_MOST_SECONDS} seconds"
        return subprocess.CompletedProcess(words, -1, told)


def begun(folder: Path) -> Path:
    """A studio with the sheets of one week, of which Ada's is marked."""
    (folder / "studio" / "templates").mkdir(parents=True)
    (folder / "studio" / "templates" / "tiny.toml").write_bytes(TINY)
    (folder / "studio" / "roster.csv").write_text(ROSTER)
    for words in (("begin", "."), ("build", "--week", WEEKS[0])):
        done = run(folder, words)
        assert done.returncode == 0, done.stdout
    done = run(folder, ("mark", code_of(folder, "Ada Lee"), "--wrong", "1"))
    assert done.returncode == 0, done.stdout
    return folder


def copied(begun: Path, folder: Path) -> Path:
    """The studio and its record once more."""
    shutil.copytree(begun, folder)
    return folder


def record_of(folder: Path) -> StudioRecord:
    (path,) = (folder / "data").rglob("record.sqlite")
    return StudioRecord(path)


def code_of(folder: Path, student: str) -> str:
    with record_of(folder) as record:
        return record.sheets(student)[0].code


def faults(folder: Path, first: str, checking: bool = True) -> list[str]:
    """What is wrong with a studio after a kill and one more command.

    ``first`` is the code of the sheet that was marked before. With ``checking``, every page is
    checked, too.
    """
    done = run(folder, SHOW)
    wrong = [f"the next command: {done.stdout[-300:]}"] if done.returncode else []
    studio = folder / "studio"
    with record_of(folder) as record:
        sheets = {sheet.code: sheet for sheet in record.sheets()}
        places = {sheet.folder for sheet in sheets.values() if sheet.state != "replaced"}
        for file in studio.rglob(KEY):
            place = file.parent.relative_to(studio).as_posix()
            (code,) = re.findall(r'"code": "(.{7})"', file.read_text("utf-8"))
            if place not in places:
                wrong.append(f"the record does not know {place}")
            elif code not in sheets or sheets[code].folder != place:
                wrong.append(f"the record has another sheet for {place}")
            elif record.key_json(code) != file.read_text("utf-8"):
                wrong.append(f"the record says something else of {place}")
        for place in sorted(places):
            written = [(studio / place / name).is_file() for name in IN_EACH_FOLDER]
            played = (studio / place / "examiners-sheet.pdf").is_file()
            if not all(written) and not played:
                wrong.append(f"{place} is not whole")
        if {str(mark.outcome) for mark in record.marks(first).values()} != {"wrong"}:
            wrong.append(f"the marks of {first} are lost")
    wrong += [f"left behind: {path}" for path in studio.rglob(".building*")]
    weeks = [path for path in studio.iterdir() if checking and path.name[:2] == "20"]
    for week in [
        path for path in weeks if any(path.iterdir())
    ]:  # an empty one may be the teacher's
        done = run(folder, ("check", week.name))
        if done.returncode:
            wrong.append(f"check {week.name}: {done.stdout[-300:]}")
    return wrong
