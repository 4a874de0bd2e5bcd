"""What several tests share: the demo studio, built once."""

import json
from pathlib import Path

import pytest

from workbook.resources import shipped

DEMO = shipped() / "demo" / "roster.csv"


@pytest.fixture(scope="session")
def demo(tmp_path_factory) -> Path:
    """The folder of the demo studio, built once for all tests."""
    from workbook.build import build
    out = tmp_path_factory.mktemp("demo")
    build(DEMO, out)
    return out


@pytest.fixture(scope="session")
def keys(demo) -> dict[Path, dict]:
    """Every ``key.json`` of the demo by its folder."""
    found = {path.parent: json.loads(path.read_text("utf-8")) for path in demo.rglob("key.json")}
    assert found
    return found
