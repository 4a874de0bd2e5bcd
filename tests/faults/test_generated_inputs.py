"""Bad inputs of every kind: no traceback, no hang, no flood of memory, a message, nothing half
done. ``again.py`` runs a single case again.
"""

from __future__ import annotations

import json
import os
import pickle
import queue
import signal
import subprocess
import sys
import threading
from collections import Counter
from collections.abc import Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from itertools import chain
from pathlib import Path

import pytest
from case import MOST_SECONDS, Case, Outcome, faults
from kinds import KINDS, Kind
from limits import WORKERS, environment, isolated
from made import Made

Numbered = tuple[str, int]
_SAMPLE = 60
"""One in so many cases is run with every run of the tests."""
_LEAST = 1500
_AT_ONCE = 50
_STARTING = 30.0


@pytest.mark.parametrize(
    "every", [_SAMPLE, pytest.param(1, marks=pytest.mark.faults)], ids=["sample", "all"]
)
def test_bad_inputs(every, made, place, figures):
    chosen = {kind: list(range(0, kind.count, every)) for kind in KINDS.values()}
    stored = place.with_name("made.pickle")
    stored.write_bytes(pickle.dumps(made))
    tasks = list(_tasks(chosen))
    with ThreadPoolExecutor(WORKERS) as pool:
        done = pool.map(
            lambda task: list(_run(task[1], place / str(task[0]), stored, made)),
            enumerate(tasks),
        )
        outcomes = list(chain.from_iterable(done))
    wrong = _told(outcomes, figures)
    assert not wrong, f"{len(wrong)} faults\n" + "\n".join(wrong)
    if every == 1:
        assert len(outcomes) >= _LEAST


def _tasks(chosen: dict[Kind, list[int]]) -> Iterator[list[Numbered]]:
    """Cases for one process, or for a process each."""
    for alone in (True, False):
        cases = [
            (kind.name, number)
            for kind, numbers in chosen.items()
            for number in numbers
            if kind.alone == alone
        ]
        for start in range(0, len(cases), _AT_ONCE):
            yield cases[start : start + _AT_ONCE]


def _run(
    cases: list[Numbered], place: Path, stored: Path, made: Made
) -> Iterator[tuple[Case, Outcome]]:
    if KINDS[cases[0][0]].alone:
        for name, number in cases:
            case = KINDS[name].make(number, made)
            yield case, isolated(case, place / f"{name} {number}")
        return
    left = list(cases)
    while left:
        for (name, number), outcome in _batch(left, place, stored):
            left.remove((name, number))
            yield KINDS[name].make(number, made), outcome


def _batch(cases: list[Numbered], place: Path, stored: Path) -> Iterator[tuple[Numbered, Outcome]]:
    """The outcomes of cases until all are done or one gets stuck, which is the last then."""
    place.mkdir(parents=True, exist_ok=True)
    worker = Path(__file__).with_name("batch.py")
    with subprocess.Popen(
        [sys.executable, str(worker), str(place), str(stored)],
        env=environment(),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        start_new_session=True,
    ) as process:
        process.stdin.write("".join(f"{kind}\t{number}\n" for kind, number in cases))
        process.stdin.close()
        running: Numbered | None = None
        said: list[str] = []
        for line in _lines(process):
            told = json.loads(line) if line and line.startswith('{"') else None
            if told is None:
                said.append(line or "")
                if line is None:
                    with suppress(ProcessLookupError):
                        os.killpg(process.pid, signal.SIGKILL)
                    break
            elif "begins" in told:
                running = tuple(told["begins"])
            else:
                running = None
                yield tuple(told["ends"]), _outcome(told["outcome"])
    if running:  # it hangs, or the process ended without a word
        hangs = bool(said) and said[-1] == ""
        words = "".join(said)[-6000:]
        if hangs:
            yield running, Outcome(None, words, MOST_SECONDS, 0.0)
        else:
            crash = words or f"the process ended with {process.returncode}"
            yield running, Outcome(process.returncode, words, 0.0, 0.0, crash=crash)
    elif said:
        raise RuntimeError("".join(said))


def _lines(process: subprocess.Popen[str]) -> Iterator[str | None]:
    """The lines that a process writes; None, and no more, if one is too long in coming."""
    lines: queue.Queue[str | None] = queue.Queue()

    def read() -> None:
        for line in process.stdout:
            lines.put(line)
        lines.put("")

    threading.Thread(target=read, daemon=True).start()
    patience = MOST_SECONDS + _STARTING
    while True:
        try:
            line = lines.get(timeout=patience)
        except queue.Empty:
            yield None
            return
        patience = MOST_SECONDS
        if line == "":
            return
        yield line


def _outcome(told: dict) -> Outcome:
    return Outcome(**{**told, "changed": tuple(told["changed"])})


def _told(outcomes: Iterable[tuple[Case, Outcome]], figures) -> list[str]:
    """Each fault on a line; the figures of each kind go to the table."""
    columns = ("traceback", "hang", "memory", "exit code", "no name", "words", "half done")
    figures("kind", "cases", "refused", *columns, "slowest", "most memory")
    wrong, by_kind = [], {}
    for case, outcome in outcomes:
        by_kind.setdefault(case.kind, []).append((case, outcome))
    for kind, some in sorted(by_kind.items()):
        counts: Counter[str] = Counter()
        for case, outcome in some:
            for fault in faults(case, outcome):
                counts[fault.partition(":")[0]] += 1
                wrong.append(f"{kind} {case.number}: {' '.join(case.words)[:150]!r}: {fault}")
        figures(
            kind,
            len(some),
            sum(outcome.code != 0 for _, outcome in some),
            *(counts[column] for column in columns),
            f"{max(outcome.seconds for _, outcome in some):.1f} s",
            f"{max(outcome.megabytes for _, outcome in some):.0f} MB",
        )
    return wrong
