"""The desk as a process: it listens only on this computer, and ends with its terminal.

In: the folder of a studio. Out: a server on 127.0.0.1, on a free port, until it is asked to end.
"""

from __future__ import annotations

import signal
import socket
import threading
import webbrowser
from collections.abc import Callable
from contextlib import closing, suppress
from pathlib import Path
from types import FrameType

import uvicorn

from workbook.desk.app import app
from workbook.desk.desk import Desk
from workbook.desk.guard import Door
from workbook.desk.presence import Presence
from workbook.errors import WorkbookError
from workbook.inputs.days import today
from workbook.inputs.messages import reason
from workbook.studio.folder import is_studio
from workbook.weeks.studios import opened
from workbook.weeks.this_week import this_week

_SECONDS = 2.0
"""After the start; until then, the first page has the processor."""


class NoPort(WorkbookError):
    """The desk cannot listen on the port."""


def serve(folder: Path, port: int, browser: bool, tell: Callable[[str], object]) -> None:
    """Run the desk until its terminal ends it, or say where the studio's desk is already running.

    ``port`` 0 takes any that is free. ``tell`` is called with lines for the teacher. Raises
    NoPort, and what ``weeks.studios.opened`` raises.
    """
    if is_studio(folder):
        with opened(folder) as studio:  # its problems are reported here
            other = Presence(studio.studio).other_link()
        if other:
            tell("The desk of this studio is already open:")
            _show(other, browser, tell)
            return
    with closing(_listening(port)) as listening:
        door = Door(listening.getsockname()[1])
        server = _Server(
            uvicorn.Config(
                app(Desk(folder, door)),
                log_level="warning",
                access_log=False,
                server_header=False,
                proxy_headers=False,
                ws="none",
                timeout_graceful_shutdown=3,
            ),
            lambda: _started(folder, door, browser, tell),
        )
        tell("The desk is open. To end it, close this window or press Ctrl+C.")
        _end_with_terminal(server)
        try:
            server.run(sockets=[listening])
        except KeyboardInterrupt:  # uvicorn hands it on when it has ended
            tell("The desk is closed.")


class _Server(uvicorn.Server):
    """Shows the link as soon as it listens, not before."""

    def __init__(self, config: uvicorn.Config, started: Callable[[], object]):
        super().__init__(config)
        self._told = started

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Listen, then show the link."""
        await super().startup(sockets)
        if not self.should_exit:
            self._told()


def _started(folder: Path, door: Door, browser: bool, tell: Callable[[str], object]) -> None:
    _show(door.link(), browser, tell)
    # computed ahead: otherwise the first look at the studio takes seconds
    later = threading.Timer(_SECONDS, _reckoned, [folder])
    later.daemon = True
    later.start()


def _reckoned(folder: Path) -> None:
    from workbook.weeks.progress import studio_progress

    with suppress(WorkbookError):  # the page will tell it
        if is_studio(folder):
            with opened(folder) as studio:
                this_week(studio)
                studio_progress(studio, today())


def _listening(port: int) -> socket.socket:
    try:
        return socket.create_server(("127.0.0.1", port))
    except OSError as error:
        raise NoPort(f"Port {port} cannot be used: {reason(error)}; leave out --port") from None


def _show(link: str, browser: bool, tell: Callable[[str], object]) -> None:
    tell(link)
    if browser:
        webbrowser.open(link)


def _end_with_terminal(server: uvicorn.Server) -> None:
    def end(number: int, frame: FrameType | None) -> None:  # noqa: ARG001
        server.should_exit = True

    if hasattr(signal, "SIGHUP"):  # Windows has none; there, the window ends the process
        signal.signal(signal.SIGHUP, end)
