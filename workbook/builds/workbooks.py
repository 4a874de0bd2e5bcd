"""From a roster to printed workbooks: the whole way in one place.

roster → plans → exercises → snippets → sheets → files, as DEVELOPERS.md draws it.
"""

from __future__ import annotations

import csv
import difflib
import gc
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from functools import partial
from itertools import chain, count
from pathlib import Path, PurePath

from workbook.builds.parallel import Tasks
from workbook.builds.publish import staging
from workbook.engraving.cache import Cache, folder
from workbook.engraving.engrave import engrave
from workbook.engraving.snippet import Snippet
from workbook.errors import CheckFailed, Finding, InputError, Problem
from workbook.fingering import conventions
from workbook.fingering.conventions import Conventions
from workbook.marking.accepted import spelled
from workbook.marking.mark_sheet import Marked, Marks, has_room, mark_sheet, typed
from workbook.music.naming import LETTERS, STEPS
from workbook.pages import render
from workbook.pages.answer_list import answers, lay_out_answers
from workbook.pages.item import also
from workbook.pages.layout import lay_out
from workbook.pages.mark_sheet import lay_out_marks
from workbook.pages.mark_sheet import size as marks_size
from workbook.pages.paper import Paper
from workbook.pdf.finished import FinishedPdf
from workbook.pdf.join import Job
from workbook.planning import plan as planning
from workbook.planning.exercise_pool import ExercisePool
from workbook.planning.plan import Plan
from workbook.preflight import ANSWER_KEY, ANSWERS, RECORD, WORKBOOK, check_folder
from workbook.record.keyfile import key_text, said
from workbook.studio.folders import folders
from workbook.studio.roster import Row, read_roster
from workbook.studio.templates import worded
from workbook.typesetting.text import unprintable

ALL_WORKBOOKS, ALL_KEYS = "all-workbooks.pdf", "all-answer-keys.pdf"
MARKS = "mark-sheet"
"""The studio's mark sheet, as ``.csv`` and ``.pdf``."""

_SAID = (said, also, answers, spelled)
"""What is made of an exercise alone, whoever is dealt it."""
_AT_ONCE = 12
"""Rows that are planned and engraved together: enough to keep every core busy."""

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
    form: str
    marked: Marked


def build(
    roster: Path | str,
    out: Path | str,
    *,
    seed: str = "",
    students: Iterable[str] = (),
    template_dir: Path | None = None,
    fingering: Path | None = None,
    letters: str | None = None,
    steps: str | None = None,
    forms: int = 1,
    paper: Paper = Paper("letter"),
    grey: bool = False,
    progress: Progress | None = None,
    executor: Executor | None = None,
    processes: int = 1,
) -> list[Built]:
    """Build a workbook, an answer key and ``key.json`` for every row of ``roster``.

    With ``students``, only theirs, and the files for the whole studio are left as they
    are. ``fingering`` is a file of the teacher's own fingerings; ``letters`` and
    ``steps`` (see ``music.naming``) stand over the templates' words; with more than one
    of ``forms`` each row has so many workbooks, alike in all but their exercises, in
    folders of their own; ``page`` has paper, size and punching; with ``grey`` the
    answers are printed black. ``executor`` runs the LilyPond processes (threads of its
    own if None); with more ``processes`` than one, copies of this process write the pages,
    on Linux, for which no other thread may run. Rows are built a few at a time, so that
    memory does not grow with their number. What is written is read again and checked,
    without rendering it. ``progress`` is called with "Engraving" or "Writing", how much is
    done and how much there is. Raises ValueError for arguments that cannot be, InputError
    before anything is written, EngraverMissing, EngravingError, OutputError or CheckFailed
    with the old files untouched.
    """
    roster, out = Path(roster), Path(out)
    students = [students] if isinstance(students, str) else list(students)
    seed = str(seed)
    for what, value, known in (("letters", letters, LETTERS), ("steps", steps, STEPS)):
        if value is not None and value not in known:
            raise ValueError(f"{what} cannot be {value!r}; they are {', '.join(known)}")
    if not 1 <= forms <= planning.MOST_FORMS:
        raise ValueError(f"forms cannot be {forms!r}; there are 1 to {planning.MOST_FORMS}")
    if not isinstance(paper, Paper):
        raise ValueError(f"page cannot be {paper!r}; write workbook.pages.paper.Paper(paper, size)")
    tell = progress or (lambda step, done, of: None)
    rows, table = _read(roster, template_dir, fingering)
    _check_names(rows, roster)
    where = folders(rows)
    wanted = _wanted(rows, set(students), roster)
    rows = tuple(replace(row, template=worded(row.template, letters, steps)) for row in rows)
    copies = _copies(rows)
    cache = Cache(folder())
    built: list[Built] = []
    findings: list[Finding] = []
    with _heap_at_rest(), staging(out) as new, ExitStack() as stack:
        jobs = []
        if len(wanted) == len(rows):
            for name, title in ((ALL_WORKBOOKS, "All workbooks"), (ALL_KEYS, "All answer keys")):
                jobs.append(Job(stack.enter_context((new / name).open("wb")), title, "workbook"))

        def take(tasks: Tasks) -> None:
            for one, found in tasks.results():
                built.append(one)
                findings.extend(found)
                for job, file in zip(jobs, (WORKBOOK, ANSWER_KEY)):
                    pdf = FinishedPdf((new / one.folder.relative_to(out) / file).read_bytes())
                    job.add_finished(pdf, paper.whole, f"{one.student}, {one.title}")
                tell("Writing", len(built), len(wanted) * forms)

        pool = ExercisePool()
        under_way = Tasks((), 1)
        stack.callback(lambda: under_way.end())
        for start in range(0, len(wanted), _AT_ONCE):
            some = wanted[start : start + _AT_ONCE]
            plans = [
                (where[index] / (f"form-{plan.form}" if plan.form else ""), plan)
                for index in some
                for plan in planning.plans(rows[index], seed, copies[index], table, forms, pool)
            ]
            exercises = [item.exercise for _, plan in plans for item in plan.items]
            for exercise in exercises:  # here, so that all copies of the process have it
                for make in _SAID:
                    exercise.once(make)
            snippets = iter(
                engrave(
                    exercises,
                    lambda done, of: tell("Engraving", done, of),
                    line_width=paper.line_width,
                    cache=cache,
                    executor=executor,
                )
            )
            # while these are written, the next ones are engraved
            take(under_way)
            under_way = Tasks(
                [
                    partial(
                        _write,
                        plan,
                        {item.number: next(snippets) for item in plan.items},
                        paper,
                        grey,
                        new,
                        place,
                        out,
                    )
                    for place, plan in plans
                ],
                processes,
            )
        take(under_way)
        if findings:
            raise CheckFailed(
                findings,
                f"Nothing was written into {out}: what was made is not "
                "as it should be. This is a fault of the program; please report "
                "it with these lines.",
            )
        for job in jobs:
            job.finish()
        if jobs:
            _write_marks([one.marked for one in built], paper.name, new, out)
        tell("Writing", len(built), len(built))
    return built


@contextmanager
def _heap_at_rest() -> Iterator[None]:
    """What there is already is not looked through for waste while a build makes much new:
    each time takes longer than to write a page.
    """
    if gc.get_freeze_count():
        yield  # the caller does so
        return
    gc.freeze()
    try:
        yield
    finally:
        gc.unfreeze()


def _read(
    roster: Path, template_dir: Path | None, fingering: Path | None
) -> tuple[tuple[Row, ...], Conventions]:
    """Roster and fingerings, with the problems of both in one InputError."""
    found, problems = [], []
    for read in (
        lambda: read_roster(roster, template_dir),
        lambda: conventions.load(fingering) if fingering else conventions.traditional(),
    ):
        try:
            found.append(read())
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(problems)
    rows, table = found
    return rows, table


def _write(
    plan: Plan,
    snippets: dict[int, Snippet],
    paper: Paper,
    grey: bool,
    new: Path,
    where: PurePath,
    out: Path,
) -> tuple[Built, list[Finding]]:
    """Write the files of one plan below ``new``, and read them again."""
    pages = lay_out(plan, snippets, paper)
    row, name = plan.row, f"{plan.title}: {plan.row.student}"
    place = new / where
    place.mkdir(parents=True, exist_ok=True)
    ready = [render.Ready(page) for page in pages]
    for face, file, title in (
        (render.WORKBOOK, WORKBOOK, name),
        (render.ANSWER_KEY, ANSWER_KEY, f"{name} (answer key)"),
    ):
        (place / file).write_bytes(
            render.render(ready, face, paper.whole, title, row.student, grey)
        )
    (place / ANSWERS).write_bytes(
        render.render(
            lay_out_answers(plan, paper),
            render.WORKBOOK,
            paper.whole,
            f"{name} (answers)",
            row.student,
        )
    )
    (place / RECORD).write_text(key_text(plan, pages, paper), encoding="utf-8", newline="\n")
    marked = Marked(
        row.student,
        plan.title,
        plan.code,
        tuple((section.letter, section.title, section.points) for section in plan.sections),
    )
    return Built(
        row.student,
        plan.title,
        out / where,
        len(plan.items),
        plan.points,
        len(pages),
        plan.code,
        plan.form,
        marked,
    ), check_folder(place, False, where.as_posix())


def _write_marks(books: list[Marked], paper: str, new: Path, out: Path) -> None:
    """Write the mark sheet, with the marks that the one in ``out`` has for the same workbooks;
    if it has others, too, it is kept beside the new one.
    """
    marks: Marks = {}
    try:
        before = (out / f"{MARKS}.csv").read_bytes()
    except FileNotFoundError:
        pass
    else:
        try:
            marks = typed(before)
            kept = has_room(marks, books)
        except (ValueError, KeyError, csv.Error):
            kept = False
        if not kept:
            names = (f"{MARKS}-before{number}.csv" for number in chain([""], count(-2, -1)))
            name = next(name for name in names if not (out / name).exists())
            (new / name).write_bytes(before)
    (new / f"{MARKS}.csv").write_text(mark_sheet(books, marks), encoding="utf-8-sig", newline="")
    (new / f"{MARKS}.pdf").write_bytes(
        render.render(
            lay_out_marks(books, paper),
            render.WORKBOOK,
            marks_size(paper),
            "Mark sheet",
            "workbook",
        )
    )


def _copies(rows: tuple[Row, ...]) -> list[int]:
    """For each row, how many before it are the same in all that a plan depends on."""
    seen: Counter = Counter()
    found = []
    for row in rows:
        same = (row.student, row.template.name, row.keys, row.title, row.seed)
        found.append(seen[same])
        seen[same] += 1
    return found


def _check_names(rows: tuple[Row, ...], roster: Path) -> None:
    problems = []
    for row in rows:
        for what, words in (("name", row.student), ("title", row.title)):
            missing = unprintable(words)
            if missing:
                listed = " ".join(sorted(missing))
                problems.append(
                    Problem(
                        roster.name,
                        f"row {row.row}",
                        f"no font on this computer has these characters of the {what}: {listed};",
                        "install a font that has them (fonts.md says which), or write the "
                        f"{what} in other letters",
                    )
                )
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
    return sorted(
        picked,
        key=lambda i: (
            rows[i].student.casefold(),
            rows[i].student,
            rows[i].title,
            rows[i].template.name,
            [key.ascii for key in rows[i].keys],
            rows[i].seed or "",
            i,
        ),
    )
