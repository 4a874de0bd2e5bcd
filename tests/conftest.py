"""What several tests share: the demo studio, built once."""

import json
import os
from pathlib import Path

import pytest
from filelock import FileLock

from workbook.resources import shipped


@pytest.fixture(scope="session")
def shared(tmp_path_factory, worker_id) -> Path:
    """A temporary folder that the workers of pytest share."""
    base = tmp_path_factory.getbasetemp()
    return base if worker_id == "master" else base.parent


@pytest.fixture(scope="session", autouse=True)
def own_cache(shared):
    """Snippets of the tests stay out of the user's cache; workers of pytest share them."""
    from workbook.engraving import cache

    snippets = shared / "snippets"
    snippets.mkdir(exist_ok=True)
    os.environ[cache.SETTING] = str(snippets)
    yield
    del os.environ[cache.SETTING]


@pytest.fixture(scope="session", autouse=True)
def compiled():
    """The commands that tests start keep the modules that they compile for the next ones."""
    with pytest.MonkeyPatch.context() as patch:
        patch.delenv("PYTHONDONTWRITEBYTECODE", raising=False)
        yield


@pytest.fixture(scope="session", autouse=True)
def own_data(tmp_path_factory):
    """Records of the tests stay out of the user's data folder."""
    from workbook.weeks import studios

    os.environ[studios.DATA] = str(tmp_path_factory.mktemp("data"))
    yield
    del os.environ[studios.DATA]


DEMO = shipped() / "demo" / "roster.csv"


@pytest.fixture(scope="session")
def demo(shared) -> Path:
    """The folder of the demo studio, built once for all tests of all workers. Nothing is written
    into it.
    """
    from workbook import build

    out = shared / "demo"
    with FileLock(shared / "demo.lock"):
        if not out.exists():
            build(DEMO, shared / "demo.part")
            (shared / "demo.part").rename(out)
    return out


@pytest.fixture(scope="session")
def keys(demo) -> dict[Path, dict]:
    """Every ``key.json`` of the demo by its folder."""
    found = {path.parent: json.loads(path.read_text("utf-8")) for path in demo.rglob("key.json")}
    assert found
    return found
