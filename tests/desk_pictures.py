"""Makes the pictures of the desk for the README: python -m tests.desk_pictures"""

import io
import os
import shutil
import tempfile
from contextlib import ExitStack, closing
from datetime import date
from pathlib import Path
from random import Random
from unittest.mock import patch

from PIL import Image
from playwright.sync_api import Page, sync_playwright

from tests.desk.raw import Raw
from workbook.marking.outcome import Outcome
from workbook.resources import shipped
from workbook.studio_record.model import Way
from workbook.weeks.marks import enter
from workbook.weeks.next_sheets import set_next
from workbook.weeks.studios import DATA, begin, opened
from workbook.weeks.term_dates import set_term

ROSTER = (
    "student,template,keys,#lesson\n"
    "Pippa Marrowby,level-03,,Monday\n"
    "Zoë Lindqvist-Okafor,level-05,,Monday\n"
    "Tamsin Brekko,level-01,,Thursday\n"
)
FIRST, EXAM, OFF = date(2027, 1, 12), date(2027, 4, 17), date(2027, 2, 16)
WEEKS, COLOURS = 5, 48
WIDTH, HEIGHT = 900, 1000


def main() -> None:
    with tempfile.TemporaryDirectory() as name, ExitStack() as stack:
        stack.enter_context(patch.dict(os.environ, {DATA: str(Path(name, "data"))}))
        folder = Path(name, "studio")
        days = recorded(folder)
        for room in ("week", "studio", "student", "term"):
            stack.enter_context(patch(f"workbook.desk.{room}.today", lambda: days[WEEKS]))
        raw = stack.enter_context(closing(Raw(folder)))
        with sync_playwright() as playwright:
            root = hasattr(os, "geteuid") and os.geteuid() == 0
            browser = playwright.chromium.launch(
                executable_path=shutil.which("chromium") or shutil.which("chromium-browser"),
                args=["--no-sandbox"] if root else [],
            )
            page = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT})
            page.goto(raw.door.link())
            taken(page, "desk-week")
            page.get_by_role("link", name="Pippa Marrowby", exact=True).click()
            taken(page, "desk-student")
            with opened(folder) as studio:
                code = studio.record.sheets("Pippa Marrowby")[-1].code
            page.goto(f"{raw.door.origin}/mark/{code}/1")
            for box in (4, 9, 17):
                page.locator(f"#b{box}").click()
                page.get_by_text("saved", exact=True).wait_for()
            taken(page, "desk-marking")
            page.goto(f"{raw.door.origin}/term")
            taken(page, "desk-term")
            page.goto(f"{raw.door.origin}/template/level-05/7")
            page.wait_for_load_state("networkidle")
            taken(page, "desk-template")


def recorded(folder: Path) -> list[date]:
    """An invented studio with some weeks marked and one that is out; returns its lesson days."""
    set_term(begin(folder, ROSTER.encode()), FIRST, EXAM, [OFF])
    rng = Random("pictures")
    with opened(folder) as studio:
        days = studio.studio.term.weeks()
        for number, day in enumerate(days[: WEEKS + 1]):
            for sheet in set_next(studio, day, pages=2):
                if number == WEEKS:
                    continue
                marks = {
                    blank.id: Outcome.RIGHT if rng.random() < 0.7 + 0.04 * number else Outcome.WRONG
                    for blank in studio.record.workbook(sheet.built.code).blanks
                }
                enter(studio, sheet.built.code, marks, Way.TYPED)
    return days


def taken(page: Page, name: str) -> None:
    """What the window shows, as a PNG of few colours."""
    image = Image.open(io.BytesIO(page.screenshot())).quantize(COLOURS)
    image.save(shipped() / "demo" / f"{name}.png", optimize=True)


if __name__ == "__main__":
    main()
