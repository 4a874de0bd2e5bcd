"""From a roster to printed workbooks: the whole way in one place.

roster → plans → exercises → snippets → sheets → files, as DEVELOPERS.md draws it.
"""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from workbook.engraving.engrave import engrave
from workbook.errors import InputError, Problem
from workbook.fingering import conventions
from workbook.fingering.conventions import Conventions
from workbook.pages import assemble
from workbook.pages.flow import PAPERS
from workbook.pages.layout import lay_out
from workbook.pages.text import unprintable
from workbook.publish import staging
from workbook.studio import plan as planning
from workbook.studio.folders import folders
from workbook.studio.keyfile import key_text
from workbook.studio.plan import Plan
from workbook.studio.roster import Row, read_roster

ALL_WORKBOOKS, ALL_KEYS = "all-workbooks.pdf", "all-answer-keys.pdf"

Progress = Callable[[str, int, int], None]
"""Called with a step's name, how much of it is done, and how much there is."""


@dataclass(frozen=True)
class Built:
    """What was written for one roster row."""

    student: str
    title: str
    folder: Path
    items: int
    points: int
    pages: int
    code: str


def build(roster: Path, out: Path, *, seed: str = "", students: Iterable[str] = (),
          template_dir: Path | None = None, fingering: Path | None = None,
          paper: str = "letter",
          progress: Progress | None = None) -> list[Built]:
    """Build a workbook, an answer key and ``key.json`` for every row of ``roster``.

    With ``students``, only theirs, and the files for the whole studio are left
    as they are. ``fingering`` is a file of the teacher's own fingerings. Raises InputError before anything is written, EngraverMissing,
    EngravingError or OutputError with the old files untouched.
    """
    tell = progress or (lambda step, done, of: None)
    rows, table = _read(roster, template_dir, fingering)
    _check_names(rows, roster)
    where = folders(rows)
    wanted = _wanted(rows, set(students), roster)
    plans = _plans(rows, seed, table)
    exercises = [item.exercise for index in wanted for item in plans[index].items]
    snippets = dict(zip(map(id, exercises), engrave(
        exercises, lambda done, of: tell("Engraving", done, of))))
    built, workbooks, answer_keys = [], [], []
    with staging(out) as new:
        for done, index in enumerate(wanted):
            tell("Writing", done, len(wanted))
            folder = new / where[index]
            folder.mkdir(parents=True, exist_ok=True)
            pages, blank, answered, key = _files(plans[index], snippets, paper)
            (folder / "workbook.pdf").write_bytes(blank)
            (folder / "answer-key.pdf").write_bytes(answered)
            (folder / "key.json").write_text(key, encoding="utf-8", newline="\n")
            workbooks.append(blank)
            answer_keys.append(answered)
            p = plans[index]
            built.append(Built(p.row.student, p.row.title, out / where[index], len(p.items),
                               p.points, pages, p.code))
        if len(wanted) == len(rows):
            (new / ALL_WORKBOOKS).write_bytes(
                assemble.join(workbooks, "All workbooks", "workbook"))
            (new / ALL_KEYS).write_bytes(
                assemble.join(answer_keys, "All answer keys", "workbook"))
        tell("Writing", len(wanted), len(wanted))
    return built


def _read(roster: Path, template_dir: Path | None, fingering: Path | None
          ) -> tuple[tuple[Row, ...], Conventions]:
    """Roster and fingerings, with the problems of both in one InputError."""
    found, problems = [], []
    for read in (lambda: read_roster(roster, template_dir),
                 lambda: conventions.load(fingering) if fingering else conventions.traditional()):
        try:
            found.append(read())
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(problems)
    rows, table = found
    return rows, table


def _files(plan: Plan, snippets: dict[int, object], paper: str) -> tuple[int, bytes, bytes, str]:
    """Pages, workbook, answer key and key text of one plan."""
    sheets = lay_out(plan, {item.number: snippets[id(item.exercise)] for item in plan.items},
                     paper)
    row = plan.row
    blank = assemble.render(sheets, assemble.WORKBOOK, PAPERS[paper],
                            f"{row.title}: {row.student}", row.student)
    answered = assemble.render(sheets, assemble.ANSWER_KEY, PAPERS[paper],
                               f"{row.title}: {row.student} (answer key)", row.student)
    return len(sheets), blank, answered, key_text(plan, sheets, paper)


def _plans(rows: tuple[Row, ...], seed: str, fingering: Conventions) -> list[Plan]:
    """A plan for each row; identical rows of one student are told apart by count."""
    seen: Counter = Counter()
    plans = []
    for row in rows:
        same = (row.student, row.template.name, row.keys, row.title, row.seed)
        plans.append(planning.plan(row, seed, seen[same], fingering))
        seen[same] += 1
    return plans


def _check_names(rows: tuple[Row, ...], roster: Path) -> None:
    problems = []
    for row in rows:
        for what, words in (("name", row.student), ("title", row.title)):
            missing = unprintable(words)
            if missing:
                listed = " ".join(sorted(missing))
                problems.append(Problem(
                    roster.name, f"row {row.row}",
                    f"no font on this computer has these characters of the {what}: {listed};",
                    "install a font that has them (fonts.md says which), or write the "
                    f"{what} in other letters"))
    if problems:
        raise InputError(problems)


def _wanted(rows: tuple[Row, ...], students: set[str], roster: Path) -> list[int]:
    """Indices of the rows to build, in an order that the roster's does not change."""
    names = {row.student for row in rows}
    unknown = sorted(students - names)
    if unknown:
        problems = []
        for name in unknown:
            close = difflib.get_close_matches(name, sorted(names), n=1)
            hint = f'did you mean "{close[0]}"?' if close else "write the name as the roster does"
            problems.append(Problem(roster.name, "", f'there is no student "{name}";', hint))
        raise InputError(problems)
    picked = [i for i, row in enumerate(rows) if not students or row.student in students]
    return sorted(picked, key=lambda i: (rows[i].student.casefold(), rows[i].student,
                                         rows[i].title, rows[i].template.name,
                                         [key.ascii for key in rows[i].keys],
                                         rows[i].seed or "", i))
