"""Cancelling one build: its own LilyPond processes end, those of another go on."""

import logging
import sys
import threading
import time
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from random import Random

import pytest
from asked import Request

from workbook.cancel import Cancel, Cancelled
from workbook.engraving import lilypond, score
from workbook.engraving.cache import Cache
from workbook.engraving.engrave import engrave
from workbook.exercises.families import FAMILIES
from workbook.music.keys import ALL_KEYS

SLOW = '\\version "2.24.0" #(sleep 60) { c4 }'
QUICK = '\\version "2.24.0" #(sleep 2) \\book { { c4 } }\n' + lilypond.BOOK_END


def exercises(family="arpeggio"):
    kind = FAMILIES[family]
    return [
        kind.make(Request(key, hand, kind.asks), Random(1))
        for key in ALL_KEYS[::2]
        for hand in ("right", "left")
    ]


@pytest.fixture
def cancel():
    return Cancel()


def test_check(cancel):
    cancel.check()
    cancel.cancel()
    assert cancel.cancelled
    with pytest.raises(Cancelled):
        cancel.check()


def test_callbacks_run_once_and_only_inside_their_block(cancel):
    called = []
    with cancel.on_cancel(lambda: called.append("left")):
        pass
    with cancel.on_cancel(lambda: called.append("inside")):
        cancel.cancel()
        cancel.cancel()
    with cancel.on_cancel(lambda: called.append("late")):
        pass
    assert called == ["inside", "late"]


def test_a_cancelled_run_ends_and_another_goes_on(cancel):
    def run(source, cancel):
        try:
            return list(lilypond.run(source, cancel=cancel))
        except Cancelled:
            return "cancelled"

    with ThreadPoolExecutor(2) as pool:
        slow = pool.submit(run, SLOW, cancel)
        quick = pool.submit(run, QUICK, Cancel())
        time.sleep(1)
        start = time.monotonic()
        cancel.cancel()
        assert slow.result() == "cancelled" and time.monotonic() - start < 1
        assert quick.result() != "cancelled"


def test_a_run_cancelled_before_it_starts_starts_nothing(cancel, monkeypatch):
    cancel.cancel()
    monkeypatch.setattr(lilypond, "_start", lambda *_: pytest.fail("LilyPond was run"))
    with pytest.raises(Cancelled):
        list(lilypond.run(QUICK, cancel=cancel))


@pytest.fixture
def hanging(monkeypatch):
    """Scores that keep LilyPond busy for a minute."""
    plain = score.score_source
    monkeypatch.setattr(
        score, "score_source", lambda *piece: "} #(sleep 60) \\bookpart { " + plain(*piece)
    )


@pytest.mark.parametrize("pool", [None, ThreadPoolExecutor, ProcessPoolExecutor])
def test_engraving_is_cancelled_at_once(pool, cancel, tmp_path, hanging):
    executor = pool and pool(2)
    if pool is ProcessPoolExecutor:  # what it has begun goes on: do not let it take a minute
        executor.submit(time.sleep, 3)
        executor.submit(time.sleep, 3)
    before = threading.active_count()
    timer = threading.Timer(1.0, cancel.cancel)
    timer.start()
    start = time.monotonic()
    with pytest.raises(Cancelled):
        engrave(exercises(), cache=Cache(tmp_path), executor=executor, cancel=cancel)
    assert time.monotonic() - start < 2.5
    timer.join()
    if executor:
        for process in (getattr(executor, "_processes", None) or {}).values():
            process.kill()
        executor.shutdown(cancel_futures=True)
    else:
        assert threading.active_count() == before


def test_two_builds_in_two_threads(tmp_path, caplog):
    """One is cancelled; the other draws all, and the same as alone."""
    caplog.set_level(logging.INFO, "workbook")
    stopped = Cancel()

    def stop(done, of):
        if done:
            stopped.cancel()

    with ThreadPoolExecutor(2) as pool:
        one = pool.submit(engrave, exercises(), cache=Cache(tmp_path / "one"))
        other = pool.submit(
            engrave, exercises("scale-fingering"), stop, cache=Cache(tmp_path / "2"), cancel=stopped
        )
        with pytest.raises(Cancelled):
            other.result()
        drawn = one.result()
    alone = engrave(exercises(), cache=Cache(tmp_path / "alone"))
    assert [s.name for s in drawn] == [s.name for s in alone]
    assert "30 exercises: 0 pictures from the cache, 30 drawn" in caplog.text


def test_a_failure_of_the_progress_callback_ends_the_runs(tmp_path):
    def fail(done, of):
        if done:
            raise KeyError("window closed")

    before = threading.active_count()
    with pytest.raises(KeyError, match="window closed"):
        engrave(exercises(), fail, cache=Cache(tmp_path))
    assert threading.active_count() == before


def test_scores_are_written_alike_in_many_threads():
    """abjad and our own caches, with threads that take turns as often as can be."""
    made = [
        exercise
        for family in ("arpeggio", "cadences", "scale-writing", "chord-building")
        for exercise in exercises(family)
    ]
    alone = [score.score_source(exercise) for exercise in made]
    interval = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    try:
        for _ in range(3):
            for kept in (score._pitch, score._note, score._cell):
                kept.cache_clear()
            with ThreadPoolExecutor(4) as pool:
                runs = [
                    pool.submit(lambda: [score.score_source(exercise) for exercise in made])
                    for _ in range(4)
                ]
                assert all(run.result() == alone for run in runs)
    finally:
        sys.setswitchinterval(interval)
