"""A desk that listens, and a browser to look at it with."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from tests.desk.raw import Raw
from tests.weeks.test_studio import begun, studio  # noqa: F401
from workbook.weeks.studios import opened

INSTALL = "apt-get install chromium, pip install playwright"
SIZES = {"phone": (360, 740), "tablet": (820, 1180), "desktop": (1440, 900)}


@pytest.fixture
def raw(studio):  # noqa: F811
    """The desk of a studio with one week of sheets."""
    one = Raw(studio)
    yield one
    one.close()


@pytest.fixture
def code(studio):  # noqa: F811
    """The key code of Pippa's sheet."""
    with opened(studio) as one:
        return one.record.sheets("Pippa Marrowby")[0].code


@pytest.fixture
def stuck(tmp_path, monkeypatch):
    """A LilyPond that never ends, and an empty cache."""
    program = tmp_path / "lilypond"
    program.write_text(
        '#!/bin/sh\n[ "$1" = --version ] && echo "GNU LilyPond 2.24.4" && exit\nexec sleep 600\n'
    )
    program.chmod(0o755)
    monkeypatch.setenv("WORKBOOK_LILYPOND", str(program))
    monkeypatch.setenv("WORKBOOK_CACHE", str(tmp_path / "cache"))


@pytest.fixture(scope="module")
def chromium():
    """A browser; without one, the tests are skipped, or fail where it must not be missing."""
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        program = None
    if not program:
        must = os.environ.get("CI_BROWSER")
        (pytest.fail if must else pytest.skip)(f"no browser; install it with: {INSTALL}")
    with sync_playwright() as playwright:
        root = hasattr(os, "geteuid") and os.geteuid() == 0
        browser = playwright.chromium.launch(
            executable_path=program, args=["--no-sandbox"] if root else []
        )
        yield browser
        browser.close()


@pytest.fixture
def window(chromium, raw):
    """Opens a window of a size (see SIZES); everything that the browser complains of fails."""
    complaints, contexts = [], []

    def opened_window(size="tablet", **more):
        width, height = SIZES[size]
        context = chromium.new_context(viewport={"width": width, "height": height}, **more)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on(
            "console",
            lambda said: (
                complaints.append(said.text) if said.type in {"error", "warning"} else None
            ),
        )
        page.goto(raw.door.link())
        return page

    opened_window.complaints = complaints
    yield opened_window
    for context in contexts:
        context.close()
    assert not complaints, complaints


def fits(page, size: str) -> None:
    """The page is no wider than the window, once its style sheet is there.

    A browser answers questions about a page before the style sheet has come; by itself, every
    table would then stand out to the right.
    """
    page.wait_for_load_state()
    found = page.evaluate("document.documentElement.scrollWidth")
    assert found <= SIZES[size][0], (page.url, found)


def pictured(page, name: str) -> None:
    """Keep a picture of the page, if a folder for pictures is named."""
    folder = os.environ.get("DESK_PICTURES")
    if folder:
        page.screenshot(path=Path(folder) / f"{name}.png", full_page=True)
