"""Makes the pictures of the README from the demo studio: python -m tests.pictures"""

import tempfile
from pathlib import Path

import pypdfium2

from workbook import build
from workbook.resources import shipped

STUDENT, PAGE, SCALE = "Zoë Lindqvist-Okafor", 2, 1.1


def main() -> None:
    demo = shipped() / "demo"
    with tempfile.TemporaryDirectory() as folder:
        one, = build(demo / "roster.csv", Path(folder), students=[STUDENT])
        for source, picture in (("workbook.pdf", "page.png"), ("answer-key.pdf", "answer-key.png")):
            with pypdfium2.PdfDocument(one.folder / source) as document:
                image = document[PAGE - 1].render(scale=SCALE).to_pil().quantize(32)
            image.save(demo / picture, optimize=True)


if __name__ == "__main__":
    main()
