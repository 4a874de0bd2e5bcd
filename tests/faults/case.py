"""A command with a bad input, and what must be true after it."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from random import Random
from stat import S_IFMT

from workbook.errors import ExitCode

MOST_SECONDS = 60.0
MOST_MEGABYTES = 1000.0

BAD_INPUT = frozenset({0, ExitCode.BAD_INPUT})
"""Done, since not every generated input is bad; or refused."""
BAD_FOLDER = BAD_INPUT | {ExitCode.NOT_WRITTEN}
FAULTY = BAD_INPUT | {ExitCode.CHECK_FAILED}

_CRASHED = "Traceback (most"
_PLACE = re.compile(r'(workbook/\w+/\w+\.py", line \d+, in \w+)')
PYTHON = re.compile(
    r"Traceback|NoneType|invalid literal|not enough values|too many values|has no attribute"
    r"|list index|KeyError|TypeError|ValueError|codec can't|\bErrno\b|unexpected keyword"
    r"|<class |unhashable|not subscriptable|out of range\)|Invalid isoformat|object at 0x"
    r"|could not convert|expected str|embedded null|surrogates not allowed|must be str"
)
"""Words of Python that a teacher must never read."""


@dataclass(frozen=True)
class Case:
    """A command and the folder it runs in. ``kind`` and ``number`` make the same case again.

    ``lay`` writes what ``files`` cannot hold, such as a FIFO. With ``replaces``, every other
    case finds files of an older build in its way. Where the command is refused,
    its message must have one of ``named``, and nothing changed but what begins with one of
    ``changes``; where it is done, the commands ``after`` it must
    be done as well. ``lost`` says what is gone then that must never go. The commands of ``then``
    may be refused, too.
    """

    kind: str
    number: int
    words: tuple[str, ...]
    files: Mapping[str, bytes] = field(default_factory=dict)
    named: tuple[str, ...] = ()
    codes: frozenset[int] = BAD_INPUT
    replaces: bool = True
    lay: Callable[[Path], None] = lambda folder: None
    after: tuple[tuple[str, ...], ...] = ()
    then: tuple[tuple[str, ...], ...] = ()
    changes: tuple[str, ...] = ()
    lost: Callable[[Path], str] = lambda folder: ""
    environment: Mapping[str, str | None] = field(default_factory=dict)

    def write(self, folder: Path) -> None:
        """Lay out the folder."""
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in self.files.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
        if self.replaces and self.number % 2 and self.words[0] in ("build", "study"):
            (folder / "out" / "Ada").mkdir(parents=True, exist_ok=True)
            (folder / "out" / "Ada" / "workbook.pdf").write_bytes(b"old")
            (folder / "out" / "notes.txt").write_bytes(b"mine")
        self.lay(folder)


@dataclass(frozen=True)
class Outcome:
    """What came of a case. ``code`` is None if it had to be stopped; ``changed`` names what is
    not as it was, where nothing should have changed.
    """

    code: int | None
    output: str
    seconds: float
    megabytes: float
    changed: tuple[str, ...] = ()
    crash: str = ""


def faults(case: Case, outcome: Outcome) -> list[str]:
    """What must not have happened: (the kind of fault: what is wrong)."""
    found = []
    if crash := outcome.crash or (outcome.output if _CRASHED in outcome.output else ""):
        found.append(f"traceback: {_short(crash)}")
    if outcome.code is None or outcome.seconds > MOST_SECONDS:
        found.append(f"hang: {outcome.seconds:.0f} s")
    if outcome.megabytes > MOST_MEGABYTES:
        found.append(f"memory: {outcome.megabytes:.0f} MB")
    if found:
        return found
    if outcome.code not in case.codes:
        found.append(f"exit code: {outcome.code}: {outcome.output[-200:]!r}")
    if outcome.code and case.named and not any(name in outcome.output for name in case.named):
        found.append(f"no name: {outcome.output[:200]!r}")
    if words := PYTHON.search(outcome.output):
        found.append(f"words: {words[0]!r} in {outcome.output[:300]!r}")
    if outcome.changed:
        found.append(f"half done: {', '.join(outcome.changed[:5])}")
    return found


def _short(crash: str) -> str:
    """The last line of a traceback, and where of ours it came from."""
    lines = [line for line in crash.split("\n") if line.strip()]
    last = next((line for line in reversed(lines) if re.match(r"\w.*(Error|Exception)", line)), "")
    places = [found[1] for found in _PLACE.finditer(crash)]
    return f"{last[:200] or crash[-300:]} at {' < '.join(reversed(places[-2:]))}"


def snapshot(folder: Path) -> dict[str, str]:
    """Everything in a folder: the kind of each entry, the content of files, links as they are."""
    found = {}
    for path in sorted(folder.rglob("*")):
        status = path.lstat()
        kind = f"{S_IFMT(status.st_mode):o}"
        if path.is_symlink():
            kind += str(path.readlink())
        elif path.is_file() and status.st_size < 10_000_000:
            kind += sha256(path.read_bytes()).hexdigest()
        found[path.relative_to(folder).as_posix()] = kind
    return found


def differences(before: Mapping[str, str], after: Mapping[str, str]) -> tuple[str, ...]:
    """The names of entries that came, went or changed."""
    return tuple(
        sorted(name for name in before.keys() | after.keys() if before.get(name) != after.get(name))
    )


def random(kind: str, number: int) -> Random:
    """The random numbers of one case."""
    return Random(f"{kind} {number}")
