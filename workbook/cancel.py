"""Cancelling work that takes a while: one token belongs to one build.

In: a call of ``cancel`` from any thread. Out: ``Cancelled`` in the thread that does the
work, the next time it checks, and a call of everything that was registered in the meantime.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager


class Cancelled(Exception):
    """The work was cancelled; its results must not be used."""


class Cancel:
    """A token that cancels work, once and for good, from any thread."""

    def __init__(self) -> None:
        self._event = threading.Event()
        self._lock = threading.Lock()
        self._callbacks: dict[object, Callable[[], object]] = {}

    @property
    def cancelled(self) -> bool:
        """Whether ``cancel`` has been called."""
        return self._event.is_set()

    def cancel(self) -> None:
        """Cancel the work: call every registered callback, in the order of registration.

        A second call does nothing.
        """
        with self._lock:
            self._event.set()
            callbacks = list(self._callbacks.values())
            self._callbacks.clear()
        for callback in callbacks:
            callback()

    def check(self) -> None:
        """Raise Cancelled if the work has been cancelled."""
        if self.cancelled:
            raise Cancelled

    @contextmanager
    def on_cancel(self, callback: Callable[[], object]) -> Iterator[None]:
        """Call ``callback`` when the work is cancelled while the ``with`` block runs; at once
        if it has been already.

        The callback runs in the thread that cancels, perhaps just after the block has ended, and
        must neither block nor raise.
        """
        entry = object()
        with self._lock:
            late = self.cancelled
            if not late:
                self._callbacks[entry] = callback
        if late:
            callback()
        try:
            yield
        finally:
            with self._lock:
                self._callbacks.pop(entry, None)
