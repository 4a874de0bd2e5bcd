"""An outside program while it runs: its input, its limited output, and how it is ended.

In: a command, and text for its standard input. Out: the lines that it prints. The program
leads a process group of its own (POSIX), so that what it starts in turn ends with it; on
Windows ``taskkill`` ends the tree.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import suppress
from pathlib import Path
from queue import Empty, SimpleQueue
from types import TracebackType
from typing import IO, Self, cast

MOST_PRINTED = 8 * 1024 * 1024
"""Bytes: more than this on standard output, or on standard error, is a flood. The longest
report of a good run has some 2 MB."""
MOST_IN_LINE = 1024 * 1024
"""Bytes: a longer line is a flood too."""
_KEPT = 64 * 1024
"""Bytes of standard error that are kept, the last ones."""
_CHUNK = 64 * 1024
_TICK = 0.2
_GRACE = 1.0
"""Seconds that a program's children may still hold its pipes after its own end."""


class Late(Exception):
    """The program did not end in time."""


class Flood(Exception):
    """The program printed more than any good run does."""


class Process:
    """A program that runs until its end, or until the time ``until`` of ``time.monotonic``.

    Use as a context manager: at its end the program and its children have ended too. ``feed``
    it once, even if with nothing.
    """

    def __init__(
        self, command: Sequence[str | Path], until: float, folder: Path | None = None
    ) -> None:
        """Start ``command`` in ``folder``. Raises OSError if it cannot be started."""
        self._until = until
        self._chunks: SimpleQueue[bytes] = SimpleQueue()
        self._errors, self._flooded, self._over = b"", False, False
        self._lock = threading.RLock()  # a signal may call ``kill`` inside ``end``
        self._popen = subprocess.Popen(  # noqa: S603 - a program that the user installed or named
            command,
            cwd=folder,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            bufsize=0,
            start_new_session=True,
            creationflags=getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0),
        )
        self._threads: list[threading.Thread] = []
        _running.add(self)

    def __enter__(self) -> Self:
        self._begin(self._print, cast(IO[bytes], self._popen.stdout))
        self._begin(self._complain, cast(IO[bytes], self._popen.stderr))
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.end()

    @property
    def number(self) -> int:
        """The system's number of the process."""
        return self._popen.pid

    @property
    def exit_code(self) -> int | None:
        """What the program returned; None while it runs."""
        return self._popen.returncode

    @property
    def errors(self) -> str:
        """The end of what was printed on standard error, without control characters."""
        text = self._errors.decode("utf-8", "replace")
        return "".join(c for c in text if c.isprintable() or c in "\n\t").strip()

    def feed(self, text: str) -> None:
        """Give ``text`` to standard input, and end it. Does not wait for the program."""
        self._begin(self._give, cast(IO[bytes], self._popen.stdin), text.encode())

    def lines(self) -> Iterator[str]:
        """Each line of standard output as it is printed, then the end of the program.

        Raises Late and Flood, which leave the program running until ``end``.
        """
        rest = b""
        while chunk := self._next():
            *whole, rest = (rest + chunk).split(b"\n")
            if len(rest) > MOST_IN_LINE:
                raise Flood
            for line in whole:
                yield line.decode("utf-8", "replace").rstrip()
        if rest:
            yield rest.decode("utf-8", "replace").rstrip()
        while self._popen.poll() is None:
            self._check()
            with suppress(subprocess.TimeoutExpired):
                self._popen.wait(_TICK)
        self._threads[1].join(_GRACE)  # the last words of standard error
        if self._flooded:
            raise Flood

    def kill(self) -> None:
        """End the program and its children now, from any thread. ``lines`` ends too."""
        with self._lock:
            if not self._over:
                _kill_tree(self._popen)
        self._chunks.put(b"")  # a child that left the group may hold the pipe

    def end(self) -> None:
        """End what still runs. A pipe that is held by a child outside the group is left to it."""
        self.kill()
        with suppress(subprocess.TimeoutExpired):
            self._popen.wait(_GRACE)
        with self._lock:
            self._over = True  # from here on, the number may belong to another process
        until = time.monotonic() + _GRACE
        for thread in self._threads:
            thread.join(max(0.0, until - time.monotonic()))
        _running.discard(self)

    def _begin(self, target: object, *arguments: object) -> None:
        thread = threading.Thread(target=target, args=arguments, daemon=True)  # type: ignore[arg-type]
        self._threads.append(thread)
        thread.start()

    def _next(self) -> bytes:
        """What is printed next; b"" at the end of it, whoever may still hold the pipe."""
        ended: float | None = None
        while True:
            self._check()
            try:
                return self._chunks.get(timeout=_TICK)
            except Empty:
                if ended is None and self._popen.poll() is not None:
                    ended = time.monotonic()
                if ended is not None and time.monotonic() - ended > _GRACE:
                    return b""

    def _check(self) -> None:
        if self._flooded:
            raise Flood
        if time.monotonic() >= self._until:
            raise Late

    def _print(self, pipe: IO[bytes]) -> None:
        for chunk in self._read(pipe):
            self._chunks.put(chunk)
        self._chunks.put(b"")

    def _complain(self, pipe: IO[bytes]) -> None:
        for chunk in self._read(pipe):
            self._errors = (self._errors + chunk)[-_KEPT:]

    def _read(self, pipe: IO[bytes]) -> Iterator[bytes]:
        count = 0
        with suppress(OSError), pipe:
            while chunk := os.read(pipe.fileno(), _CHUNK):
                count += len(chunk)
                if count > MOST_PRINTED:
                    self._flooded = True
                    return
                yield chunk

    def _give(self, pipe: IO[bytes], data: bytes) -> None:
        with suppress(OSError), pipe:  # it may have ended early; its message says why
            rest = memoryview(data)
            while rest:
                rest = rest[os.write(pipe.fileno(), rest) :]


_running: set[Process] = set()


def end_all() -> None:
    """End every program that this process started here and its children, from any thread."""
    for process in list(_running):
        process.kill()


def _kill_tree(popen: subprocess.Popen[bytes]) -> None:
    if sys.platform == "win32":
        subprocess.run(  # noqa: S603 - a program of the system, and a number
            ["taskkill", "/T", "/F", "/PID", str(popen.pid)],  # noqa: S607
            capture_output=True,
            check=False,
        )
    else:
        with suppress(OSError):  # nobody is left
            os.killpg(popen.pid, signal.SIGKILL)
