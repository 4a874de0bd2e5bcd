"""Makes the pictures of the README, one page of each kind: python -m tests.pictures"""

import tempfile
from pathlib import Path

import pypdfium2

from workbook import build
from workbook.builds.print_jobs import booklets
from workbook.builds.study_pages import study_pages
from workbook.music.keys import parse_key
from workbook.resources import shipped
from workbook.studio.templates import available, read_template

STUDENT, BOOKLET, KEY, LEVEL = "Zoë Lindqvist-Okafor", "Pippa Marrowby", "E major", "level-05"
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
        booklets([built[BOOKLET] / "workbook.pdf"], folder / "booklet.pdf", onto="tabloid")
        full, faded, *_ = study_pages(
            [parse_key(KEY)], read_template(available()[LEVEL]), folder / "study", faded=(0, 50)
        )
        for picture, file, page in (
            ("workbook", built[STUDENT] / "workbook.pdf", 3),
            ("answer-key", built[STUDENT] / "answer-key.pdf", 3),
            ("answers", built[STUDENT] / "answers.pdf", 1),
            ("large-print", large.folder / "workbook.pdf", 3),
            ("study-page", full, 1),
            ("study-page-faded", faded, 1),
            ("mark-sheet", folder / "demo" / "mark-sheet.pdf", 1),
            ("booklet", folder / "booklet.pdf", 2),
        ):
            draw(file, page, demo / f"{picture}.png")


def draw(file: Path, number: int, picture: Path) -> None:
    """One page of a PDF as a PNG of few colours."""
    with pypdfium2.PdfDocument(file) as document:
        page = document[number - 1]
        image = page.render(scale=WIDE / min(page.get_size())).to_pil().quantize(COLOURS)
    image.save(picture, optimize=True)


if __name__ == "__main__":
    main()
