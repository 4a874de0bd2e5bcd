"""Runs the command while something goes wrong: killed at a change of a file, or slow at each.

``python disturbed.py FOLDER LOG count|kill|slow WHICH AT -- WORDS``. Changes below FOLDER
are seen before they happen, through Python's audit events. ``WHICH`` is ``renames`` (also
links) or ``all`` (also files opened for writing, removed, folders made). ``AT`` is the
change, from 1, before which the process is killed, or the seconds that each one takes
longer. With ``count``, LOG has the number of renames and of all changes at the end.
"""

from __future__ import annotations

import os
import signal
import sys
import time
from pathlib import Path

RENAMES = frozenset({"os.rename", "os.link", "os.symlink"})
CHANGES = RENAMES | {"os.remove", "os.rmdir", "os.mkdir", "os.truncate", "os.chmod", "open"}
_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT


class Watch:
    """Counts changes below a folder and does ``then`` before each; call it as an audit hook."""

    def __init__(self, folder: str, events: frozenset[str], then):
        self.count, self._folder, self._events, self._then = 0, folder, events, then

    def __call__(self, event: str, values: tuple) -> None:
        if event not in self._events or not any(map(self._below, values[:2])):
            return
        if event == "open" and not values[2] & _WRITING:
            return
        self.count += 1
        self._then(self.count)

    def _below(self, value: object) -> bool:
        if not isinstance(value, str | bytes | Path):
            return False
        path = Path(os.fsdecode(value))
        # a name within an open folder does not say where that is
        return path.name == str(path) or (Path.cwd() / path).is_relative_to(self._folder)


def main() -> None:
    folder, log, what, which, at = sys.argv[1:6]

    def kill(count: int) -> None:
        if count == int(at):
            os.kill(os.getpid(), signal.SIGKILL)

    then = {"kill": kill, "slow": lambda count: time.sleep(float(at))}.get(what, lambda count: None)
    watches = [Watch(folder, RENAMES, then), Watch(folder, CHANGES, then)]
    from workbook.cli import main as command

    for watch in watches if what == "count" else [watches[which == "all"]]:
        sys.addaudithook(watch)
    try:
        command(sys.argv[7:], prog_name="workbook")
    finally:
        if what == "count":
            Path(log).write_text(" ".join(str(watch.count) for watch in watches))


if __name__ == "__main__":
    main()
