"""Copies of the process: the same files, in the same order, and every end told."""

import os
import signal
import sys
import time

import pytest

from workbook import build
from workbook.builds.parallel import Tasks
from workbook.errors import InputError, OutputError, Problem, WorkbookError
from workbook.resources import shipped

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="no copies are made here")


def raises(error):
    def task():
        raise error

    return task


def children():
    return [
        int(pid)
        for task in os.listdir("/proc/self/task")
        for pid in open(f"/proc/self/task/{task}/children").read().split()
    ]


@pytest.mark.parametrize("processes", [1, 2, 3, 50])
def test_results_come_in_order_from_as_many_processes(processes):
    def task(number):
        return lambda: (time.sleep(0.02 * (number % 3)), number, os.getpid())[1:]

    found = list(Tasks([task(n) for n in range(11)], processes).results())
    assert [number for number, _ in found] == list(range(11))
    assert len({pid for _, pid in found}) == min(processes, 11)
    assert (os.getpid() in {pid for _, pid in found}) == (processes == 1)
    assert children() == []


@pytest.mark.parametrize(
    "error, words",
    [
        (OSError(28, "No space left on device", "a.pdf"), "No space left"),
        (OutputError("cannot write"), "cannot write"),
        (InputError([Problem("roster.csv", "row 2", "is wrong;", "mend it")]), "row 2: is wrong"),
    ],
)
def test_what_a_task_raises_is_raised_here(error, words):
    tasks = Tasks([lambda: 1, lambda: 2, raises(error), lambda: 4, lambda: 5], 2)
    with pytest.raises((OSError, WorkbookError), match=words):
        list(tasks.results())
    assert children() == []


def test_a_copy_that_is_ended_from_outside_is_told():
    tasks = Tasks([lambda: os.kill(os.getpid(), signal.SIGKILL)] * 5, 2)
    with pytest.raises(WorkbookError, match="ended from outside"):
        list(tasks.results())
    assert children() == []


def test_to_give_up_ends_the_copies():
    tasks = Tasks([lambda: time.sleep(60)] * 5, 2)
    assert len(children()) == 2
    start = time.monotonic()
    tasks.end()
    assert time.monotonic() - start < 10 and children() == []


def test_the_same_files_byte_for_byte(tmp_path):
    roster = tmp_path / "roster.csv"
    lines = (shipped() / "demo" / "roster.csv").read_text("utf-8").splitlines()
    roster.write_text("\n".join(lines), "utf-8")
    told = []
    for processes in (1, 3):
        build(
            roster,
            tmp_path / f"out-{processes}",
            processes=processes,
            forms=2,
            progress=lambda *step: told.append(step),
        )
    one, many = (
        {path.relative_to(place): path.read_bytes() for path in place.rglob("*") if path.is_file()}
        for place in (tmp_path / "out-1", tmp_path / "out-3")
    )
    assert one.keys() == many.keys() and len(one) > 30
    assert [name for name in one if one[name] != many[name]] == []
    writing = [step for step in told if step[0] == "Writing"]
    assert writing[-1][1] == writing[-1][2] == 2 * (len(lines) - 1)
