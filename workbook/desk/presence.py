"""One desk for each studio: the second finds the first.

In: a studio, and the door of a desk. Out: a lock and a note beside the record, in the data folder
of this user; or a link of the desk that is running already. The note can be read by this user
alone.
"""

from __future__ import annotations

import http.client
import json
import os
from contextlib import suppress
from pathlib import Path

from workbook.desk.guard import LINK, Door
from workbook.locks import Lock, NoLocks, take
from workbook.studio.folder import Studio
from workbook.weeks.studios import record_file

_SECONDS = 3.0
"""How long another desk may take to answer."""


class Presence:
    """The lock and the note of a running desk."""

    def __init__(self, studio: Studio):
        folder = record_file(studio).parent
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        self._lock_file, self._note = folder / "desk.lock", folder / "desk.json"
        self._lock: Lock | None = None

    def take(self, door: Door) -> bool:
        """Note that this desk is the studio's; False if another one is.

        Where the file system has no locks, every desk is the only one.
        """
        try:
            self._lock = take(self._lock_file)
        except NoLocks:
            return True
        if self._lock is None:
            return False
        _write(self._note, json.dumps({"port": door.port, "again": door.again}))
        return True

    def other_link(self) -> str:
        """A new link from the desk that has the lock; "" if it does not answer."""
        try:
            note = json.loads(self._note.read_text("utf-8"))
            host = f"127.0.0.1:{int(note['port'])}"
            headers = {
                "Origin": f"http://{host}",
                "Authorization": f"Bearer {note['again']}",
                "Content-Length": "0",
            }
            connection = http.client.HTTPConnection(host, timeout=_SECONDS)
            try:
                connection.request("POST", LINK, headers=headers)
                answer = connection.getresponse()
                link = answer.read(1000).decode("ascii")
            finally:
                connection.close()
        except (OSError, ValueError, KeyError, TypeError, http.client.HTTPException):
            return ""
        ours = answer.status == http.client.OK and link.startswith(f"http://{host}/")
        return link if ours else ""

    def release(self) -> None:
        """Release the lock and remove the note."""
        if self._lock is not None:
            with suppress(OSError):
                self._note.unlink()
            self._lock.release()
            self._lock = None


def _write(path: Path, text: str) -> None:
    with suppress(FileNotFoundError):
        path.unlink()
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        file.write(text)
