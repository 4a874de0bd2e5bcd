"""Copies of the record into the studio folder, shortly after marks were entered.

In: a notice that something changed. Out: the copies that every command makes when it ends. Marks
are in the record, on the disk, before that.
"""

from __future__ import annotations

from pathlib import Path
from threading import Lock, Timer

from workbook.errors import WorkbookError
from workbook.weeks.studios import opened

_SECONDS = 15.0


class Copies:
    """Makes copies when marks have come in. ``problem`` says why the last ones failed, or ""."""

    def __init__(self, folder: Path):
        self._folder = folder
        self._timer: Timer | None = None
        self._lock = Lock()
        self.problem = ""

    def soon(self) -> None:
        """Make copies shortly, once for everything entered until then."""
        with self._lock:
            if self._timer is None:
                self._timer = Timer(_SECONDS, self._make)
                self._timer.daemon = True
                self._timer.start()

    def close(self) -> None:
        """Make the copies that are due now."""
        with self._lock:
            waiting = self._timer
        if waiting is not None:
            waiting.cancel()
            self._make()

    def _make(self) -> None:
        with self._lock:
            self._timer = None
        try:
            with opened(self._folder) as studio:
                studio.save()
            self.problem = ""
        except WorkbookError as error:
            self.problem = f"Marks are in the record, but it could not be copied: {error}"
