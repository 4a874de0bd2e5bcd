"""What the fault suite shares: a small studio, a cache of its own, tables of figures."""

from __future__ import annotations

import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from bad_tables import TINY
from kills import Studio
from limits import COMMAND, environment

ROSTER = "student,template,keys\nAda Lee,tiny,C major\n"


@pytest.fixture(scope="session")
def studio(own_cache, tmp_path_factory) -> dict[str, bytes]:
    """The files of a build of one student, by their names."""
    folder = tmp_path_factory.mktemp("studio")
    (folder / "mine").mkdir()
    (folder / "mine" / "tiny.toml").write_bytes(TINY)
    (folder / "roster.csv").write_text(ROSTER, "utf-8")
    words = ("build", "roster.csv", "--out", "out", "--template-dir", "mine")
    subprocess.run([*COMMAND, *words], cwd=folder, env=environment(), check=True)
    out = folder / "out"
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for path in sorted(out.rglob("*"))
        if path.is_file()
    }


@pytest.fixture(scope="session")
def two_builds(own_cache, tmp_path_factory) -> Studio:
    """A folder with a build, and what another build makes of it."""
    return Studio(tmp_path_factory.mktemp("two"))


@pytest.fixture
def figures(capsys) -> Iterator[Callable[..., None]]:
    """Takes rows, the first of headings; at the end, ``-s`` shows them as a table."""
    rows: list[tuple[str, ...]] = []
    yield lambda *cells: rows.append(tuple(map(str, cells)))
    widths = [max(map(len, column)) for column in zip(*rows)]
    for row in rows:
        line = "  ".join(cell.ljust(width) for cell, width in zip(row, widths))
        print(line.rstrip())


@pytest.fixture
def place(tmp_path) -> Path:
    """A folder for cases."""
    return tmp_path / "cases"
