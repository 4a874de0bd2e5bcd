"""A progress bar for each step of a command, on a terminal only."""

from __future__ import annotations

import sys
from types import TracebackType
from typing import TYPE_CHECKING, Self

import click

if TYPE_CHECKING:
    from click._termui_impl import ProgressBar


class Progress:
    """Shows how far the command is; ``tell`` is what builds call."""

    def __init__(self) -> None:
        self._step = ""
        self._bar: ProgressBar[int] | None = None
        self._shown = sys.stderr.isatty()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._close()

    def tell(self, step: str, done: int, of: int) -> None:
        """Show that ``done`` of the ``of`` parts of ``step`` are done."""
        if not self._shown:
            return
        if self._bar is None or step != self._step:
            self._close()
            self._step = step
            self._bar = click.progressbar(length=of, label=step, file=sys.stderr)
            self._bar.__enter__()
        self._bar.update(done - self._bar.pos)

    def _close(self) -> None:
        if self._bar is not None:
            self._bar.__exit__(None, None, None)
            self._bar = None
