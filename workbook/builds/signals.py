"""Signals that end the program, held back while something is completed.

In: a block of code. Out: the first signal that came in the meantime, after the block.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

ENDING = tuple(
    signal.Signals[name] for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)
)
"""Ctrl-C, an order to end, and the end of the terminal, which Windows does not have."""


@contextmanager
def held() -> Iterator[None]:
    """Delay signals that end the program until the end of the block."""
    if threading.current_thread() is not threading.main_thread():
        yield  # only the main thread receives signals
        return
    received: list[int] = []
    before = {}
    for number in ENDING:
        if signal.getsignal(number) not in (signal.SIG_IGN, None):
            before[number] = signal.signal(number, lambda number, frame: received.append(number))
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        if received:
            signal.raise_signal(received[0])


@contextmanager
def held_from_children() -> Iterator[None]:
    """Start programs that get none of these signals until they call ``let_in``.

    Ctrl-C and the end of a terminal reach all that was started there, at the same time.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield  # Windows
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, ENDING)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def let_in(handler: Callable[[int, FrameType | None], object]) -> None:
    """Receive these signals in a program that was started without, those that came before too.

    ``handler`` is called at those that a terminal sends; the order to end ends the program.
    """
    for number in ENDING:
        signal.signal(number, signal.SIG_DFL if number == signal.SIGTERM else handler)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, ENDING)
