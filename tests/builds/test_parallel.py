"""Worker processes: the same files, in the same order, and every end told."""

import multiprocessing
import os
import signal
import subprocess
import sys
import threading
import time
from functools import partial

import pytest

from workbook import build
from workbook.builds.parallel import Workers
from workbook.cancel import Cancel, Cancelled
from workbook.errors import InputError, OutputError, Problem, WorkbookError
from workbook.resources import shipped


def numbered(number):
    time.sleep(0.05 * (number % 3))
    return number, os.getpid()


def failing(error):
    raise error


def killed():
    os.kill(os.getpid(), signal.SIGKILL)


def workers_left():
    """Children of this process that are workers: the server that starts them stays."""
    return [child for child in multiprocessing.active_children() if child.is_alive()]


def files(place):
    return {
        path.relative_to(place): path.read_bytes() for path in place.rglob("*") if path.is_file()
    }


def studio(tmp_path, students=9):
    roster = tmp_path / "roster.csv"
    rows = "".join(f"Student {n},first-steps,G major; E minor,,\n" for n in range(students))
    roster.write_text("student,template,keys,title,seed\n" + rows, "utf-8")
    return roster


@pytest.mark.parametrize("processes", [1, 2, 3])
def test_results_come_in_order_from_as_many_processes(processes):
    with Workers(processes) as workers:
        tasks = workers.start([partial(numbered, n) for n in range(11)])
        found = list(tasks.results())
    assert [number for number, _ in found] == list(range(11))
    pids = {pid for _, pid in found}
    assert len(pids) <= processes and (os.getpid() in pids) == (processes == 1)
    assert not workers_left()


@pytest.mark.parametrize(
    "error, words",
    [
        (OSError(28, "No space left on device", "a.pdf"), "No space left"),
        (OutputError("cannot write"), "cannot write"),
        (InputError([Problem("roster.csv", "row 2", "is wrong;", "mend it")]), "row 2: is wrong"),
    ],
)
def test_what_a_task_raises_is_raised_here(error, words):
    with pytest.raises(type(error), match=words), Workers(2) as workers:
        tasks = [partial(numbered, 1), partial(failing, error), partial(numbered, 2)]
        list(workers.start(tasks).results())
    assert not workers_left()


def test_a_worker_that_is_killed_is_told():
    with pytest.raises(WorkbookError, match="worker process was terminated"), Workers(2) as some:
        list(some.start([killed] * 3).results())
    assert not workers_left()


def test_to_give_up_leaves_no_worker():
    start = time.monotonic()
    with Workers(2) as workers:
        workers.start([partial(numbered, 2)] * 500)
    assert time.monotonic() - start < 10 and not workers_left()


def test_the_same_files_byte_for_byte(tmp_path):
    roster = studio(tmp_path)
    told = []
    for processes in (1, 3):
        build(
            roster,
            tmp_path / f"out-{processes}",
            processes=processes,
            forms=2,
            progress=lambda *step: told.append(step),
        )
    one, many = files(tmp_path / "out-1"), files(tmp_path / "out-3")
    assert one.keys() == many.keys() and len(one) > 30
    assert [name for name in one if one[name] != many[name]] == []
    writing = [step for step in told if step[0] == "Writing"]
    assert writing[-1][1] == writing[-1][2] == 18


SOME = "student,template,keys\nAda,first-steps,C major; A minor\nZoë,level-03,D major; B minor\n"
DEMO = (shipped() / "demo" / "roster.csv").read_text("utf-8")


@pytest.mark.parametrize(
    "rows",
    [pytest.param(SOME, id="some"), pytest.param(DEMO, id="demo", marks=pytest.mark.sweep)],
)
def test_two_builds_in_two_threads_write_what_they_write_alone(tmp_path, rows):
    roster = tmp_path / "roster.csv"
    roster.write_text(rows, "utf-8")
    options = [{"size": "large", "grey": True}, {"paper": "a4", "letters": "german", "seed": "x"}]
    for number, some in enumerate(options):
        build(roster, tmp_path / f"alone-{number}", **some)
    os.environ["WORKBOOK_CACHE"], kept = str(tmp_path / "cache"), os.environ["WORKBOOK_CACHE"]
    failures = []

    def run(number):
        try:
            build(roster, tmp_path / f"beside-{number}", **options[number])
        except Exception as error:
            failures.append(error)

    try:
        threads = [threading.Thread(target=run, args=(number,)) for number in (0, 1)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    finally:
        os.environ["WORKBOOK_CACHE"] = kept
    assert not failures
    for number in (0, 1):
        assert files(tmp_path / f"beside-{number}") == files(tmp_path / f"alone-{number}")


@pytest.mark.parametrize("step", ["Engraving", "Writing"])
@pytest.mark.parametrize("processes", [1, 2])
def test_a_build_cancelled_from_another_thread_leaves_nothing(
    tmp_path, step, processes, monkeypatch
):
    monkeypatch.setenv("WORKBOOK_CACHE", str(tmp_path / "cache"))
    roster, cancel, reached = studio(tmp_path, 20), Cancel(), threading.Event()
    out = tmp_path / "out"

    def progress(name, done, of):
        if name == step:
            reached.set()

    def stop():
        reached.wait(60)
        cancel.cancel()

    watcher = threading.Thread(target=stop)
    watcher.start()
    with pytest.raises(Cancelled):
        build(roster, out, cancel=cancel, progress=progress, processes=processes)
    watcher.join()
    assert not out.exists() and not workers_left()


SIGNALLED = """
import os, signal, sys, threading, time
from multiprocessing import forkserver
from workbook.builds import parallel

number, all_of_them, when = (*map(int, sys.argv[1:3]), sys.argv[3])


def send(process):
    if all_of_them:
        os.killpg(0, number)
    else:
        os.kill(process, number)


def at_the_server():
    while not forkserver._forkserver._forkserver_pid:
        time.sleep(0.01)
    time.sleep(0.2)
    send(os.getpid())


if __name__ != "__main__" and when == "worker":
    send(int(os.environ["MAIN"]))
if __name__ == "__main__":
    os.environ["MAIN"] = str(os.getpid())
    parallel.PRELOADED = "slow"
    for one in (signal.SIGHUP, signal.SIGTERM):
        signal.signal(one, lambda number, frame: sys.exit(128 + number))
    if when == "server":
        threading.Thread(target=at_the_server, daemon=True).start()
    try:
        with parallel.Workers(2):
            time.sleep(20)
    except KeyboardInterrupt:
        sys.exit(130)
"""


@pytest.mark.skipif(not hasattr(signal, "SIGHUP"), reason="the signals of POSIX")
@pytest.mark.parametrize("when", ["server", "worker"])
def test_a_signal_while_workers_start_ends_all_without_a_word(tmp_path, when):
    """Ctrl-C, a closed terminal, an order to end: sent to the command, or to all it started."""
    (tmp_path / "slow.py").write_text("import time\ntime.sleep(0.5)\n")
    script = tmp_path / "signalled.py"
    script.write_text(SIGNALLED)
    paths = os.pathsep.join([str(tmp_path), *sys.path])
    running = {
        (number, everyone): subprocess.Popen(
            [sys.executable, script, str(int(number)), str(everyone), when],
            stderr=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": paths},
            start_new_session=True,
        )
        for number in (signal.SIGHUP, signal.SIGTERM, signal.SIGINT)
        for everyone in (0, 1)
    }
    try:
        ends = {
            (number, everyone): (process.communicate(timeout=60)[1].decode(), process.returncode)
            for (number, everyone), process in running.items()
        }
    finally:
        for process in running.values():
            process.kill()
    assert ends == {(number, everyone): ("", 128 + number) for number, everyone in running}
