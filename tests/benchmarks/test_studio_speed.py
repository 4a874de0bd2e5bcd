"""How long the commands of a studio take: 30 students at ten levels, 12 weeks of marks.

Run with ``pytest tests/benchmarks/test_studio_speed.py -n0 -s``; not part of the suite. Work is
processor time of one process, measured in turn, so that a busy machine changes it little. The
sheets of the first week are set by the program; those of the other weeks have the same
exercises under other key codes.
"""

from __future__ import annotations

import gc
import shutil
import time
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from random import Random
from statistics import median

import pytest

from workbook.builds.orders import read_orders
from workbook.builds.parallel import COLLECT
from workbook.builds.workbooks import build_orders
from workbook.marking.outcome import Outcome
from workbook.studio.folder import new_studio
from workbook.studio_record.model import Mark, SetWorkbook, Way
from workbook.weeks import next_sheets
from workbook.weeks.marking_session import Session
from workbook.weeks.next_sheets import set_next
from workbook.weeks.progress_pages import write_progress
from workbook.weeks.sets import Run
from workbook.weeks.studios import opened, record_file

STUDENTS, WEEKS, ROUNDS = 30, 12, 11
FIRST = date(2027, 1, 12)
NEXT = FIRST + timedelta(weeks=WEEKS)


@pytest.fixture(scope="module")
def studio(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("thirty")
    rows = "".join(f"Student {n},level-{n % 10 + 1:02},\n" for n in range(STUDENTS))
    new_studio(folder, f"student,template,keys\n{rows}".encode())
    text = (folder / "studio.toml").read_text("utf-8")
    for name in ("first_lesson", "exam ="):
        text = text.replace(f"# {name}", name)
    (folder / "studio.toml").write_text(text, "utf-8")
    with opened(folder) as one:
        set_next(one, FIRST, run=Run(processes=2))
        _fill(one.record)
    return folder


def _fill(record) -> None:
    """Sheets for the other weeks, and marks for all."""
    rng = Random("marks")
    first = record.sheets()
    for week in range(1, WEEKS):
        day = (FIRST + timedelta(weeks=week)).isoformat()
        record.add(
            SetWorkbook(
                code := f"W{week:02}-{number:03}",
                sheet.student,
                f"Week {week + 1}",
                "",
                day,
                f"{day}/{number}",
                record.key_json(sheet.code).replace(sheet.code, code),
                record.recipe(sheet.code),
            )
            for number, sheet in enumerate(first)
        )
    for sheet in record.sheets():
        marks = {
            blank.id: Mark(Outcome.RIGHT if rng.random() < 0.75 else Outcome.WRONG)
            for blank in record.workbook(sheet.code).blanks
        }
        record.mark(sheet.code, marks, Way.TYPED)


@pytest.fixture(autouse=True)
def collecting_as_the_commands_do():
    before = gc.get_threshold()
    gc.freeze()
    gc.set_threshold(COLLECT)
    yield
    gc.set_threshold(*before)
    gc.unfreeze()


def test_next_against_a_plain_build_of_the_same_pages(studio, tmp_path, monkeypatch):
    taken = []
    whole = next_sheets.set_sheets

    def caught(studio, wanted, **more):
        taken.append(wanted)
        return whole(studio, wanted, **more)

    monkeypatch.setattr(next_sheets, "set_sheets", caught)
    with opened(studio) as one:
        file = record_file(one.studio)
    shutil.copy(file, tmp_path / "before")
    aimed, plain = [], []
    for number in range(ROUNDS + 1):
        with opened(studio) as one:
            began = time.process_time()
            set_next(one, NEXT)
            aimed.append(time.process_time() - began)
        shutil.copy(tmp_path / "before", file)
        shutil.rmtree(studio / NEXT.isoformat())
        wanted = taken[-1]
        orders = [replace(one, plan=None, laid=None) for one in wanted.orders]
        began = time.process_time()
        with opened(studio) as one:
            read_orders(one.studio.roster, one.studio.build)
        build_orders(
            orders,
            tmp_path / str(number),
            wanted.settings,
            wanted.tables,
            everyone=wanted.everyone,
            seed=wanted.seed,
        )
        plain.append(time.process_time() - began)
    ratios = [one / other for one, other in zip(aimed[1:], plain[1:])]
    print(
        f"\nnext for {STUDENTS}: {median(aimed[1:]):.2f} s of work, a plain build "
        f"{median(plain[1:]):.2f} s, {min(ratios):.2f} to {max(ratios):.2f} times (target 1.3)"
    )
    assert median(ratios) <= 1.3


def test_progress(studio):
    took = []
    for _ in range(3):
        with opened(studio) as one:
            began = time.process_time()
            write_progress(one, NEXT)
            took.append(time.process_time() - began)
    print(f"\nprogress for {STUDENTS}: {min(took):.2f} to {max(took):.2f} s of work (target 5)")
    assert median(took) < 5


def test_each_line_of_marking(studio):
    took = []
    with opened(studio) as one:
        for sheet in one.record.sheets()[:STUDENTS]:
            session = Session(one, sheet.code)
            for typed in ("1", "+1.1", "2*", "undo"):
                began = time.perf_counter()
                session.undo() if typed == "undo" else session.line(typed, whole=False)
                session.summary()
                took.append(1000 * (time.perf_counter() - began))
    print(f"\na line of marking: median {median(took):.1f}, at most {max(took):.1f} ms (target 50)")
    assert median(took) < 50
