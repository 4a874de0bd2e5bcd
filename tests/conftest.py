"""What several tests share: the demo studio, built once."""

import json
import os
from pathlib import Path

import pytest

from workbook.resources import shipped


@pytest.fixture(scope="session", autouse=True)
def own_cache(tmp_path_factory, worker_id):
    """Snippets of the tests stay out of the user's cache; workers of pytest share them."""
    from workbook.engraving import cache

    base = tmp_path_factory.getbasetemp()
    snippets = (base if worker_id == "master" else base.parent) / "snippets"
    snippets.mkdir(exist_ok=True)
    os.environ[cache.SETTING] = str(snippets)
    yield
    del os.environ[cache.SETTING]


@pytest.fixture(scope="session", autouse=True)
def own_data(tmp_path_factory):
    """Records of the tests stay out of the user's data folder."""
    from workbook.weeks import studios

    os.environ[studios.DATA] = str(tmp_path_factory.mktemp("data"))
    yield
    del os.environ[studios.DATA]


DEMO = shipped() / "demo" / "roster.csv"


@pytest.fixture(scope="session")
def demo(tmp_path_factory) -> Path:
    """The folder of the demo studio, built once for all tests."""
    from workbook import build

    out = tmp_path_factory.mktemp("demo")
    build(DEMO, out)
    return out


@pytest.fixture(scope="session")
def keys(demo) -> dict[Path, dict]:
    """Every ``key.json`` of the demo by its folder."""
    found = {path.parent: json.loads(path.read_text("utf-8")) for path in demo.rglob("key.json")}
    assert found
    return found
