"""One running desk, and how its pages are written.

In: a folder. Out: what lives as long as the desk does, and pages in which everything that a
person typed is escaped.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from functools import cache
from pathlib import Path
from threading import Lock
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, Response

from workbook.desk.builds import Builds, Busy
from workbook.desk.copies import Copies
from workbook.desk.examples import Examples
from workbook.desk.guard import Door
from workbook.desk.pictures import Pictures
from workbook.desk.presence import Presence
from workbook.inputs.days import day_and_month, in_words, short
from workbook.studio.folder import is_studio
from workbook.weeks.page_marks import PageMarking
from workbook.weeks.studios import OpenStudio, opened, studio_at


class Desk:
    """What the pages share: the build, the pictures, the steps that can be undone."""

    def __init__(self, folder: Path, door: Door):
        self.folder = self._own = folder
        self.builds, self.copies, self.pictures = Builds(), Copies(folder), Pictures()
        self.examples = Examples()
        self.door = door
        self._presence = self._there(folder) if is_studio(folder) else None
        self._markings: dict[str, PageMarking] = {}
        self._lock = Lock()
        if self._presence:
            self._presence.take(door)

    @staticmethod
    def _there(folder: Path) -> Presence:
        return Presence(studio_at(folder))

    @property
    def begun(self) -> bool:
        """Whether the folder is a studio folder."""
        return is_studio(self.folder)

    @property
    def visiting(self) -> bool:
        """Whether the desk shows the invented studio."""
        return self.folder != self._own

    def visit(self, folder: Path) -> None:
        """Show the studio in ``folder`` for a while."""
        self._move(folder)

    def go_back(self) -> None:
        """Show the teacher's own folder again."""
        self._move(self._own)

    def _move(self, folder: Path) -> None:
        if self.builds.job and self.builds.job.running:
            raise Busy("A build is running; wait for it, or cancel it.")
        self.copies.close()
        with self._lock:
            self._markings.clear()
            self.folder, self.copies = folder, Copies(folder)
        if self._presence:
            self._presence.release()
            self._presence = None
        if self.begun:
            self.announce()

    def announce(self) -> None:
        """Let other desks find this one, after its studio was made."""
        self._presence = self._there(self.folder)
        self._presence.take(self.door)

    def marking(self, code: str) -> PageMarking:
        """The marking of a sheet, the same for all windows."""
        with self._lock:
            return self._markings.setdefault(code, PageMarking(code))

    @contextmanager
    def sheet(self, code: str) -> Iterator[OpenStudio]:
        """The studio, open, if it has the sheet; otherwise a "no such page" error."""
        with opened(self.folder) as studio:
            if not studio.record.knows(code):
                raise HTTPException(404)
            yield studio

    def close(self) -> None:
        """Cancel the build, make the copies that are due, and let another desk come."""
        self.builds.close()
        self.copies.close()
        if self._presence:
            self._presence.release()


@cache
def _pages() -> Environment:
    pages = Environment(
        loader=PackageLoader("workbook.desk", "pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    pages.filters["day"] = _days(in_words)
    pages.filters["day_and_month"] = _days(day_and_month)
    pages.filters["short_day"] = _days(short)
    return pages


def _days(words: Callable[[date], str]) -> Callable[[str], str]:
    """``words`` for a day of the record (YYYY-MM-DD); other text stays as it is."""

    def told(iso: str) -> str:
        try:
            return words(date.fromisoformat(iso))
        except ValueError:
            return iso

    return told


ROOMS = (
    ("/", "This week"),
    ("/studio", "The studio"),
    ("/term", "The term"),
    ("/roster", "Roster"),
    ("/templates", "Templates"),
    ("/fingering", "Fingering"),
)
"""The pages that every page leads to."""
_HERE = {
    "week.html": "/",
    "studio.html": "/studio",
    "term.html": "/term",
    "roster.html": "/roster",
    "templates.html": "/templates",
    "fingering.html": "/fingering",
}


def page(desk: Desk, name: str, status: int = 200, **values: Any) -> Response:
    """The page ``name`` with its values."""
    common = {
        "problem": desk.copies.problem,
        "rooms": ROOMS if desk.begun else (),
        "here": _HERE.get(name, ""),
        "visiting": desk.visiting,
    }
    text = _pages().get_template(name).render(common | values)
    return HTMLResponse(text, status)
