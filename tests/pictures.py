"""Makes the pictures of the README, one page of each kind: python -m tests.pictures"""

import os
import tempfile
from pathlib import Path
from random import Random
from unittest.mock import patch

import pypdfium2

from workbook import build
from workbook.builds.print_jobs import booklets
from workbook.builds.study_pages import study_pages
from workbook.marking.outcome import Outcome
from workbook.music.keys import parse_key
from workbook.resources import shipped
from workbook.studio.folder import SETTINGS, new_studio
from workbook.studio.templates import available, read_template
from workbook.studio_record.model import Way
from workbook.weeks.marks import enter
from workbook.weeks.next_sheets import set_next
from workbook.weeks.progress_pages import write_progress
from workbook.weeks.studios import DATA, opened
from workbook.weeks.term import term_plans
from workbook.weeks.term_charts import write_charts

STUDENT, BOOKLET = "Zoë Lindqvist-Okafor", "Pippa Marrowby"
FIRST, LEVEL, KEY = "level-01", "level-05", "E major"
WIDE, COLOURS = 600, 32
"""Pixels of a paper's short side; colours of a picture."""


def main() -> None:
    demo = shipped() / "demo"
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        built = {one.student: one.folder for one in build(demo / "roster.csv", folder / "demo")}
        (large,) = build(
            demo / "roster.csv",
            folder / "large",
            students=[STUDENT],
            size="large",
        )
        (first,) = build(
            [{"student": BOOKLET, "template": FIRST, "keys": "", "title": ""}], folder / "first"
        )
        booklets([built[BOOKLET] / "workbook.pdf"], folder / "booklet.pdf", onto="tabloid")
        progress, chart = studio_pages(folder)
        full, faded, *_ = study_pages(
            [parse_key(KEY)], read_template(available()[LEVEL]), folder / "study", faded=(0, 50)
        )
        for picture, file, page in (
            ("opening", first.folder / "workbook.pdf", 1),
            ("workbook", built[STUDENT] / "workbook.pdf", 3),
            ("answer-key", built[STUDENT] / "answer-key.pdf", 3),
            ("answers", built[STUDENT] / "answers.pdf", 1),
            ("large-print", large.folder / "workbook.pdf", 3),
            ("study-page", full, 1),
            ("study-page-faded", faded, 1),
            ("mark-sheet", folder / "demo" / "mark-sheet.pdf", 1),
            ("progress", progress, 1),
            ("term", chart, 1),
            ("booklet", folder / "booklet.pdf", 2),
        ):
            draw(file, page, demo / f"{picture}.png")


def studio_pages(folder: Path) -> tuple[Path, Path]:
    """The progress page and the term chart of an invented student after seven weeks."""
    with patch.dict(os.environ, {DATA: str(folder / "data")}):
        new_studio(folder / "studio", b"student,template,keys\nPippa Marrowby,level-03,\n")
        settings = folder / "studio" / SETTINGS
        text = settings.read_text("utf-8").replace("# first_lesson", "first_lesson")
        text = text.replace("# exam", "exam").replace("# weeks_off", "weeks_off")
        settings.write_text(text, "utf-8")
        rng = Random("pictures")
        with opened(folder / "studio") as studio:
            weeks = studio.studio.term.weeks()
            for number, day in enumerate(weeks[:7]):
                (sheet,) = set_next(studio, day, pages=3)
                marks = {}
                for item in studio.record.workbook(sheet.built.code).items:
                    signs = abs(parse_key(item.key).fifths) if item.key else 0
                    likely = 0.6 + 0.05 * number - 0.05 * signs
                    marks |= {
                        blank.id: Outcome.RIGHT if rng.random() < likely else Outcome.WRONG
                        for blank in item.blanks
                    }
                enter(studio, sheet.built.code, marks, Way.TYPED)
            write_progress(studio, weeks[7])
            charts = write_charts(studio, term_plans(studio, weeks[7], 3))
    return folder / "studio" / "progress" / "Pippa-Marrowby.pdf", charts[1]


def draw(file: Path, number: int, picture: Path) -> None:
    """One page of a PDF as a PNG of few colours."""
    with pypdfium2.PdfDocument(file) as document:
        page = document[number - 1]
        image = page.render(scale=WIDE / min(page.get_size())).to_pil().quantize(COLOURS)
    image.save(picture, optimize=True)


if __name__ == "__main__":
    main()
