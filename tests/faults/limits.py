"""Runs a command in a process of its own, with bounds on its time and memory."""

from __future__ import annotations

import os
import resource
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from case import MOST_SECONDS, Case, Outcome, differences, snapshot

import workbook

ROOT = Path(workbook.__file__).parents[1]
COMMAND = (sys.executable, "-m", "workbook")
_MOST_ADDRESSES = 4 << 30
"""Bytes of address space, which is more than memory: threads and libraries reserve some."""
_GRACE = 5.0
WORKERS = min(os.cpu_count() or 1, 4)


def environment(more: Mapping[str, str | None] | None = None) -> dict[str, str]:
    """The environment of a command, so that it runs this code wherever its folder is."""
    values = os.environ | {"PYTHONPATH": str(ROOT)} | dict(more or {})
    return {name: value for name, value in values.items() if value is not None}


def bound(process: int) -> None:
    """Bound the address space of a process and its children; only Linux can."""
    if hasattr(resource, "prlimit"):
        resource.prlimit(process, resource.RLIMIT_AS, (_MOST_ADDRESSES, _MOST_ADDRESSES))


def run(
    words: Sequence[str],
    folder: Path,
    more: Mapping[str, str | None] | None = None,
    command: Sequence[str] = COMMAND,
    seconds: float = MOST_SECONDS,
) -> Outcome:
    """Run ``command`` with ``words`` in ``folder``; after ``seconds`` it is killed."""
    start = time.monotonic()
    with tempfile.TemporaryFile() as screen:
        process = subprocess.Popen(
            [*command, *words],
            cwd=folder,
            env=environment(more),
            stdin=subprocess.DEVNULL,
            stdout=screen,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
        bound(process.pid)
        code, megabytes = _waited(process, start + seconds)
        screen.seek(0)
        output = screen.read(1_000_000).decode("utf-8", "replace")
    return Outcome(code, output, time.monotonic() - start, megabytes)


def _waited(process: subprocess.Popen[bytes], until: float) -> tuple[int | None, float]:
    """The exit code, None if the process had to be killed, and its peak of memory in MB."""
    late, seen = False, 0.0
    while True:
        seen = max(seen, peak(process.pid))
        pid, status, usage = os.wait4(process.pid, os.WNOHANG)
        if pid:
            break
        if time.monotonic() > until:
            late = True
            with suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
            until += _GRACE
        time.sleep(0.01)
    process.returncode = os.waitstatus_to_exitcode(status)
    megabytes = usage.ru_maxrss / 1000
    if seen and megabytes <= resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000:
        megabytes = seen  # a process inherits the peak of the one that started it
    return None if late else process.returncode, megabytes


def peak(process: int | str) -> float:
    """The most memory, in MB, that a running process has had of its own; 0 if not known."""
    with suppress(OSError):
        for line in Path(f"/proc/{process}/status").read_text().splitlines():
            if line.startswith("VmHWM:"):
                return int(line.split()[1]) / 1000
    return 0.0


def isolated(case: Case, folder: Path) -> Outcome:
    """Lay out a case and run it as the teacher does, in a process of its own."""
    case.write(folder)
    temporary = folder.with_name(f"{folder.name} tmp")
    temporary.mkdir()
    before = snapshot(folder)
    more = {"TMPDIR": str(temporary), **case.environment}
    outcome = run(case.words, folder, more)
    after = snapshot(folder)
    changed = differences(before, after) if outcome.code else ()
    changed += tuple(f"TMPDIR/{path.name}" for path in temporary.iterdir())
    return Outcome(outcome.code, outcome.output, outcome.seconds, outcome.megabytes, changed)
