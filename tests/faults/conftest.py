"""What the fault suite shares: a small studio, a cache of its own, tables of figures."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from kills import Studio
from made import Made, make


@pytest.fixture(scope="session")
def made(own_cache, tmp_path_factory) -> Made:
    """A studio with one sheet."""
    return make(tmp_path_factory.mktemp("made"))


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
