"""The record: what goes in comes out, nothing is lost, nothing changes what was marked."""

from __future__ import annotations

import json
import multiprocessing
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
import zlib
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from workbook.marking.outcome import Outcome
from workbook.record.outline import from_kept, outline
from workbook.record.reader import read_record
from workbook.studio_record import copies, database
from workbook.studio_record.database import RecordError
from workbook.studio_record.model import Mark, SetWorkbook, SheetState, Way
from workbook.studio_record.record import StudioRecord

STUDIO = "0123456789abcdef"
RIGHT, WRONG, EMPTY = (Mark(one) for one in (Outcome.RIGHT, Outcome.WRONG, Outcome.EMPTY))


def workbook(code="AAA-222", student="Ada", text='{"version": 2}', **more) -> SetWorkbook:
    values = {"title": "Week 1", "form": "", "week": "2027-01-12", "folder": "x", "recipe": "{}"}
    return SetWorkbook(code=code, student=student, key_json=text, **{**values, **more})


@pytest.fixture
def path(tmp_path) -> Path:
    return tmp_path / "data" / "record.sqlite"


def test_a_workbook_comes_back_as_it_was_entered(path):
    with StudioRecord(path) as record:
        record.add([workbook(text="♯ {}", recipe='{"a": 1}', reasons={"A": "wrong last time"})])
    with StudioRecord(path) as record:
        (sheet,) = record.sheets()
        assert (sheet.code, sheet.student, sheet.week) == ("AAA-222", "Ada", "2027-01-12")
        assert sheet.state == SheetState.OUT
        assert record.key_json("AAA-222") == "♯ {}"
        assert record.recipe("AAA-222") == '{"a": 1}'
        assert record.reasons("AAA-222") == {"A": "wrong last time"}


def test_a_correction_keeps_what_was_marked_before(path):
    with StudioRecord(path) as record:
        record.add([workbook()])
        record.mark("AAA-222", {"1.a": RIGHT, "1.b": WRONG}, Way.TYPED)
        record.mark("AAA-222", {"1.b": Mark(Outcome.RIGHT, "B♭")}, Way.FORM, who="Ms Sand")
        assert record.marks("AAA-222") == {"1.a": RIGHT, "1.b": Mark(Outcome.RIGHT, "B♭")}
        first, second = record.history("AAA-222")
        assert first.marks["1.b"] == WRONG
        assert (second.way, second.who) == (Way.FORM, "Ms Sand")


def test_points_can_be_taken_back(path):
    with StudioRecord(path) as record:
        record.add([workbook()])
        record.mark("AAA-222", {}, Way.TABLE, points={"A": 6.5, "B": 3})
        record.mark("AAA-222", {}, Way.TABLE, points={"B": None})
        assert record.points("AAA-222") == {"A": 6.5}


def test_marks_are_never_changed_or_deleted(path):
    with StudioRecord(path) as record:
        record.add([workbook()])
        record.mark("AAA-222", {"1.a": RIGHT}, Way.TYPED)
    raw = sqlite3.connect(path)
    for statement in (
        "UPDATE mark SET outcome = 'wrong'",
        "DELETE FROM mark",
        "DELETE FROM marking",
    ):
        with pytest.raises(sqlite3.IntegrityError, match="only grows"):
            raw.execute(statement)
    raw.close()


def test_a_renamed_student_keeps_sheets_and_marks(path):
    with StudioRecord(path) as record:
        record.add([workbook()])
        record.rename("Ada", "Ada Moor")
        record.add([workbook("BBB-222", "Ada Moor")])
        assert [sheet.code for sheet in record.sheets("Ada Moor")] == ["AAA-222", "BBB-222"]
        assert record.students()[0].earlier_names == ("Ada",)
        with pytest.raises(RecordError, match="already has a student"):
            record.add([workbook("CCC-222", "Bo")])
            record.rename("Bo", "Ada Moor")
        with pytest.raises(RecordError, match="no student"):
            record.rename("Nobody", "Somebody")


def test_an_equal_workbook_is_entered_once_and_another_is_refused(path):
    with StudioRecord(path) as record:
        record.add([workbook()])
        record.add([workbook()])
        assert len(record.sheets()) == 1
        with pytest.raises(RecordError, match="another seed"):
            record.add([workbook("BBB-222"), workbook(text="{}")])
        assert [sheet.code for sheet in record.sheets()] == ["AAA-222"], "all or none"


def test_unknown_key_codes_are_told(path):
    with StudioRecord(path) as record:
        for call in (
            lambda: record.mark("ZZZ-222", {"1.a": RIGHT}, Way.TYPED),
            lambda: record.marks("ZZZ-222"),
            lambda: record.recipe("ZZZ-222"),
            lambda: record.workbook("ZZZ-222"),
            lambda: record.tell("ZZZ-222", SheetState.NOT_HANDED_IN),
        ):
            with pytest.raises(RecordError, match="ZZZ-222"):
                call()


def test_the_record_of_another_studio_is_refused(path):
    with StudioRecord(path) as record:
        record.claim("one")
        record.claim("one")
        with pytest.raises(RecordError, match="another studio"):
            record.claim("two")
        assert record.studio == "one"


def test_a_newer_record_is_refused_and_left_alone(path):
    StudioRecord(path).close()
    raw = sqlite3.connect(path)
    raw.execute("PRAGMA user_version = 99")
    raw.close()
    before = path.read_bytes()
    with pytest.raises(RecordError, match="newer version"):
        StudioRecord(path)
    assert path.read_bytes() == before


def test_an_older_record_is_copied_then_brought_up_to_date(path, monkeypatch):
    with StudioRecord(path) as record:
        record.add([workbook()])
        record.mark("AAA-222", {"1.a": RIGHT}, Way.TYPED)
    steps = (*database.MIGRATIONS, ("CREATE TABLE later (id INTEGER)",))
    monkeypatch.setattr(database, "MIGRATIONS", steps)
    monkeypatch.setattr(database, "VERSION", len(steps))
    with StudioRecord(path) as record:
        assert record.marks("AAA-222") == {"1.a": RIGHT}
    assert path.with_name(f"record.sqlite.version-{len(steps) - 1}").exists()


def test_a_migration_that_fails_leaves_the_record_as_it_was(path, monkeypatch):
    with StudioRecord(path) as record:
        record.add([workbook()])
    steps = (*database.MIGRATIONS, ("CREATE TABLE later (id INTEGER)", "no SQL"))
    with monkeypatch.context() as patch:
        patch.setattr(database, "MIGRATIONS", steps)
        patch.setattr(database, "VERSION", len(steps))
        with pytest.raises(RecordError):
            StudioRecord(path)
    with StudioRecord(path) as record:
        assert len(record.sheets()) == 1


@pytest.mark.parametrize("damage", [b"not a database at all" * 100, b"\0" * 8192])
def test_a_damaged_record_is_told(path, damage):
    path.parent.mkdir()
    path.write_bytes(damage)
    with pytest.raises(RecordError, match="restore|not a record"):
        StudioRecord(path)
    assert path.read_bytes() == damage


def test_copies_hold_every_mark_and_can_be_restored(path, tmp_path, demo):
    key = next(demo.rglob("key.json")).read_text("utf-8")
    blank = json.loads(key)["sections"][0]["items"][0]["blanks"][0]["id"]
    with StudioRecord(path) as record:
        record.add([workbook(text=key)])
        record.mark("AAA-222", {blank: Mark(Outcome.WRONG, "=1+1")}, Way.TYPED, points={"A": 3})
        saved = copies.save_copies(record, tmp_path / "studio", date(2027, 1, 12))
        copies.save_copies(record, tmp_path / "studio", date(2027, 1, 13))
    table = (tmp_path / "studio" / "record" / "marks.csv").read_text("utf-8-sig")
    assert "wrong,'=1+1,typed" in table and "3 points" in table
    assert [one.name for one in copies.copies(tmp_path / "studio")] == [
        "2027-01-13.sqlite",
        "2027-01-12.sqlite",
    ]
    (tmp_path / "studio" / "record" / "2027-01-13 (conflicted copy).sqlite").write_bytes(b"x")
    assert len(copies.copies(tmp_path / "studio")) == 2
    copies.restore(saved, path, STUDIO)
    assert path.with_name("record.sqlite.before-1").exists()
    with StudioRecord(path) as record:
        assert record.marks("AAA-222")[blank].given == "=1+1"


def test_the_table_of_marks_is_written_again_only_after_a_mark(path, tmp_path, demo):
    key = next(demo.rglob("key.json")).read_text("utf-8")
    blank = json.loads(key)["sections"][0]["items"][0]["blanks"][0]["id"]
    table = tmp_path / "record" / "marks.csv"

    def save():
        copies.save_copies(record, tmp_path, marks=False)
        return table.read_text("utf-8-sig")

    with StudioRecord(path) as record:
        record.add([workbook(text=key)])
        assert save().count("\n") == 1
        record.mark("AAA-222", {blank: Mark(Outcome.WRONG, "")}, Way.TYPED)
        assert save().count("\n") == 2
        later = table.stat().st_mtime + 5
        table.write_text("newer", "utf-8")
        os.utime(table, (later, later))
        assert save() == "newer"
        table.unlink()
        assert save().count("\n") == 2


def _write_version_1(path, key_json, marks=(("1.a", "right"),)):
    """A record as the first version of the program wrote it: one sheet with marks."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with closing(sqlite3.connect(path, isolation_level=None)) as old:
        for statement in database.MIGRATIONS[0]:
            old.execute(statement)
        old.execute(f"PRAGMA application_id = {database.APPLICATION}")
        old.execute("PRAGMA user_version = 1")
        at = "2027-01-12T10:00:00.000+00:00"
        old.execute("INSERT INTO student (name) VALUES ('Ada')")
        old.execute(
            "INSERT INTO workbook VALUES (1, 'AAA-222', 1, 'Week 1', '', '2027-01-12', ?)", (at,)
        )
        old.execute(
            "INSERT INTO edition VALUES (1, 1, 'w/Ada', ?, '', ?)",
            (zlib.compress(key_json.encode()), at),
        )
        old.execute("INSERT INTO marking VALUES (1, 1, 'typed', '', ?)", (at,))
        old.executemany("INSERT INTO mark VALUES (1, ?, ?, '')", marks)


def test_a_record_of_version_1_is_brought_up_to_date_with_all_its_marks(path, demo):
    key = next(demo.rglob("key.json")).read_text("utf-8")
    first, second, *_ = (blank.id for blank in read_record(key).blanks)
    _write_version_1(path, key, [(first, "right"), (second, "wrong")])
    with StudioRecord(path) as record:
        (before,) = record.outlined("Ada")
        assert before.workbook == outline(key)
        assert before.outcomes == {first: Outcome.RIGHT, second: Outcome.WRONG}
        record.mark("AAA-222", {second: RIGHT}, Way.TYPED)
        (after,) = record.outlined("Ada")
        assert after.workbook == before.workbook
        assert after.outcomes == {first: Outcome.RIGHT, second: Outcome.RIGHT}
    assert path.with_name("record.sqlite.version-1").exists()
    with closing(sqlite3.connect(path)) as raw:
        ((text,),) = raw.execute("SELECT text FROM outline").fetchall()
    assert from_kept(text) == outline(key)


def test_an_outline_kept_in_another_shape_is_made_again(path, demo):
    key = next(demo.rglob("key.json")).read_text("utf-8")
    first, *_ = (blank.id for blank in read_record(key).blanks)
    with StudioRecord(path) as record:
        record.add([workbook(text=key)])
        record.mark("AAA-222", {first: RIGHT}, Way.TYPED)
        (before,) = record.outlined("Ada")
    with closing(sqlite3.connect(path, isolation_level=None)) as raw:
        raw.execute("DROP TRIGGER outline_update")
        raw.execute("UPDATE outline SET text = ?", (b"[2,[]]",))
    with StudioRecord(path) as record:
        assert record.outlined("Ada") == [before]
        assert record.outline("AAA-222") == before.workbook


def test_a_copy_of_an_older_version_is_restored_and_stays_as_it_was(path, tmp_path):
    copy = tmp_path / "studio" / "record" / "2027-01-12.sqlite"
    _write_version_1(copy, "{}")
    before = copy.read_bytes()
    copies.restore(copy, path, STUDIO)
    assert copy.read_bytes() == before and list(copy.parent.iterdir()) == [copy]
    with StudioRecord(path) as record:
        assert record.marks("AAA-222") == {"1.a": RIGHT}


def test_a_conflict_copy_beside_the_record_and_its_copies_is_left_alone(path, tmp_path, demo):
    """A whole record with another mark, as a program for shared folders may leave it."""
    text = next(demo.rglob("key.json")).read_text("utf-8")
    folder, day = tmp_path / "studio", date(2027, 1, 12)
    with StudioRecord(path) as record:
        record.add([workbook(text=text)])
        record.mark("AAA-222", {"1.a": WRONG}, Way.TYPED)
        saved = copies.save_copies(record, folder, day)
        record.mark("AAA-222", {"1.a": RIGHT}, Way.TYPED)
        others = [
            path.with_name("record (conflicted copy).sqlite"),
            saved.with_name("2027-01-12 (conflicted copy).sqlite"),
            saved.with_name("2027-01-12.sync-conflict-20270112.sqlite"),
        ]
        for other in others:
            record.backup(other)
        before = [other.read_bytes() for other in others]
        record.mark("AAA-222", {"1.a": EMPTY}, Way.TYPED)
        copies.save_copies(record, folder, day)
    assert copies.copies(folder) == [saved]
    copies.restore(saved, path, STUDIO)
    with StudioRecord(path) as record:
        assert record.marks("AAA-222") == {"1.a": EMPTY}
    assert [other.read_bytes() for other in others] == before


def test_a_damaged_copy_is_not_restored(path, tmp_path):
    with StudioRecord(path) as record:
        record.add([workbook()])
    before = path.read_bytes()
    bad = tmp_path / "2027-01-12.sqlite"
    bad.write_bytes(before[:5000])
    with pytest.raises(RecordError, match="cannot be used"):
        copies.restore(bad, path, STUDIO)
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "statement, told",
    [
        (f"UPDATE studio SET id = '{'f' * 16}'", "another studio"),
        ("UPDATE marking SET way = 'guessed'", "cannot read"),
        ("UPDATE marking SET at = 'yesterday'", "cannot read"),
        ("UPDATE workbook SET week = 'soon'", "cannot read"),
        ("UPDATE workbook SET built = 'once'", "cannot read"),
        ("UPDATE points SET points = 'many'", "cannot read"),
        ("UPDATE points SET points = 9e999", "cannot read"),
        ("INSERT INTO sheet_state (workbook, state, at) VALUES (1, 'eaten', '')", "cannot read"),
        ("DROP VIEW sheet", "cannot read"),
    ],
)
def test_a_copy_that_nothing_can_be_done_with_is_not_restored(path, tmp_path, statement, told):
    copy = tmp_path / "copy.sqlite"
    with StudioRecord(path) as record:
        record.claim(STUDIO)
        record.add([workbook()])
        record.mark("AAA-222", {"1.a": WRONG}, Way.TYPED, points={"A": 1})
        record.backup(copy)
    before = path.read_bytes()
    with closing(sqlite3.connect(copy, isolation_level=None)) as connection:
        for (name,) in connection.execute(
            "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall():
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute(statement)
    with pytest.raises(RecordError, match=told):
        copies.restore(copy, path, STUDIO)
    assert path.read_bytes() == before and [*path.parent.iterdir()] == [path]


@pytest.mark.parametrize(
    "packed", [b"", b"{}", zlib.compress(b"{}"), zlib.compress(b" " * 40_000_000), "text", 7]
)
def test_a_sheet_that_cannot_be_read_is_told(path, packed):
    with StudioRecord(path) as record:
        record.add([workbook()])
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("DROP TRIGGER edition_update")
        connection.execute("UPDATE edition SET key_json = ?", (packed,))
    with StudioRecord(path) as record:
        for read in (record.workbook, record.outline):
            with pytest.raises(RecordError, match="something that this program cannot read"):
                read("AAA-222")


def test_a_date_that_is_none_is_told_for_one_sheet_as_for_all(path):
    with StudioRecord(path) as record:
        record.add([workbook()])
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("DROP TRIGGER workbook_update")
        connection.execute("UPDATE workbook SET week = 'soon'")
    with StudioRecord(path) as record:
        for read in (record.sheets, lambda: record.sheet("AAA-222")):
            with pytest.raises(RecordError, match="something that this program cannot read"):
                read()


def test_a_fault_of_our_own_while_writing_does_not_send_to_an_older_copy(path):
    with StudioRecord(path) as record:
        with pytest.raises(KeyError), record._writing():
            raise KeyError("ours")
        assert record.sheets() == []


def test_notes_of_a_killed_command_do_not_spoil_what_is_restored(path, tmp_path):
    """A journal of the old record, left beside it, would be played back into the new one."""
    saved = tmp_path / "copy.sqlite"
    with StudioRecord(path) as record:
        record.add([workbook()])
        record.mark("AAA-222", {"1.a": WRONG}, Way.TYPED)
        record.backup(saved)
    hurt = (
        "import os, signal, sqlite3, sys\n"
        "one = sqlite3.connect(sys.argv[1], isolation_level=None)\n"
        "one.execute('PRAGMA cache_size = 1')\n"
        "one.execute('BEGIN IMMEDIATE')\n"
        "for n in range(500):\n"
        "    one.execute('INSERT INTO student (name) VALUES (?)', (str(n) * 500,))\n"
        "os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    subprocess.run([sys.executable, "-c", hurt, str(path)], check=False)
    notes = path.with_name("record.sqlite-journal")
    assert notes.exists()
    copies.restore(saved, path, STUDIO)
    assert not notes.exists()
    for file in (path, path.with_name("record.sqlite.before-1")):
        assert not database.fault(file)
        with StudioRecord(file) as record:
            assert record.marks("AAA-222") == {"1.a": WRONG}


def test_the_record_is_never_moved_away_before_the_copy_is_there(path, tmp_path, monkeypatch):
    with StudioRecord(path) as record:
        record.add([workbook()])
        record.backup(tmp_path / "copy.sqlite")
        record.mark("AAA-222", {"1.a": WRONG}, Way.TYPED)
    before = path.read_bytes()

    def stopped(*given):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", stopped)
    with pytest.raises(RecordError, match="the disk is full"):
        copies.restore(tmp_path / "copy.sqlite", path, STUDIO)
    assert path.read_bytes() == before
    assert not list(path.parent.glob(".*"))


def test_a_copy_of_the_file_alone_is_whole(path, tmp_path):
    with StudioRecord(path) as record:
        record.add([workbook()])
        for number in range(20):
            record.mark("AAA-222", {f"1.{number}": RIGHT}, Way.TYPED)
            shutil.copy(path, tmp_path / "copy.sqlite")
            assert not database.fault(tmp_path / "copy.sqlite")
            with StudioRecord(tmp_path / "copy.sqlite") as copy:
                assert len(copy.marks("AAA-222")) == number + 1


def test_a_forked_process_must_open_its_own(path, monkeypatch):
    with StudioRecord(path) as record:
        monkeypatch.setattr(os, "getpid", lambda: -1)
        with pytest.raises(RuntimeError, match="another process"):
            record.sheets()


def _mark_many(path, first):
    with StudioRecord(path) as record:
        for number in range(first, first + 40):
            record.mark("AAA-222", {f"1.{number}": RIGHT}, Way.TYPED)


def test_two_processes_mark_at_once(path):
    with StudioRecord(path) as record:
        record.add([workbook()])
    context = multiprocessing.get_context("spawn")
    both = [context.Process(target=_mark_many, args=(path, first)) for first in (0, 40)]
    for one in both:
        one.start()
    for one in both:
        one.join()
    with StudioRecord(path) as record:
        assert len(record.marks("AAA-222")) == 80


_MARKER = """
import sys
from pathlib import Path
from workbook.marking.outcome import Outcome
from workbook.record.outline import from_kept, outline
from workbook.record.reader import read_record
from workbook.studio_record.model import Mark, Way
from workbook.studio_record.record import StudioRecord
with StudioRecord(Path(sys.argv[1])) as record:
    for number in range(10_000):
        record.mark("AAA-222", {f"{sys.argv[2]}.{number}": Mark(Outcome.WRONG)}, Way.TYPED)
        print(number, flush=True)
"""


@pytest.mark.parametrize(
    "seed",
    [pytest.param(seed, marks=pytest.mark.sweep if seed > 1 else ()) for seed in range(5)],
)
def test_a_kill_loses_no_mark_that_was_acknowledged(path, seed):
    with StudioRecord(path) as record:
        record.add([workbook()])
    for turn in range(5):
        with subprocess.Popen(
            [sys.executable, "-c", _MARKER, str(path), str(turn)],
            stdout=subprocess.PIPE,
            text=True,
        ) as process:
            process.stdout.readline()
            time.sleep(random.Random(f"{seed}/{turn}").uniform(0, 0.1))
            process.send_signal(signal.SIGKILL)
            told = [0, *map(int, process.stdout.read().split())]
        assert not database.fault(path)
        with StudioRecord(path) as record:
            assert {f"{turn}.{number}" for number in told} <= record.marks("AAA-222").keys()
