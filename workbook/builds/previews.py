"""Previews: one exercise on its own page, blank and answered, as PDF or PNG.

In: an exercise. Out: the bytes of a two-page PDF, of one picture with both pages, or of a picture
of each with the positions of its boxes.
"""

from __future__ import annotations

import io
from collections.abc import Mapping
from contextlib import closing
from dataclasses import dataclass

from workbook.engraving.engrave import engrave
from workbook.engraving.snippet import Rect
from workbook.errors import WorkbookError
from workbook.exercises.model import Exercise
from workbook.pages import render
from workbook.pages.layout import lay_out_slip
from workbook.pdf.finished import FinishedPdf
from workbook.pdf.join import Job

PIXELS_PER_POINT = 2.0
_MARGIN = 12.0


@dataclass(frozen=True)
class Slip:
    """An exercise as two pictures (PNG) of ``width`` and ``height`` in points.

    ``boxes`` has the rectangle of each blank by its tag, measured from the lower left corner.
    """

    workbook: bytes
    answer_key: bytes
    width: float
    height: float
    boxes: Mapping[str, Rect]


def slip(exercise: Exercise, points: int) -> Slip:
    """The pictures of an exercise that is worth ``points``. Raises what ``engrave`` raises."""
    import pypdfium2

    (snippet,) = engrave([exercise])
    page, size = lay_out_slip(exercise, snippet, _MARGIN, points)
    pictures = []
    for face in (render.WORKBOOK, render.ANSWER_KEY):
        data = render.render([page], face, size, exercise.label, "workbook")
        with closing(pypdfium2.PdfDocument(data)) as document:
            out = io.BytesIO()
            document[0].render(scale=PIXELS_PER_POINT).to_pil().save(out, "PNG")
            pictures.append(out.getvalue())
    boxes = {box.blank.tag: box.rect for box in page.boxes}
    return Slip(pictures[0], pictures[1], *size, boxes)


def pdf(exercise: Exercise) -> bytes:
    """A PDF of two pages: the exercise for the student, and with its answers."""
    (snippet,) = engrave([exercise])
    page, size = lay_out_slip(exercise, snippet)
    title = f"{exercise.label}"
    out = io.BytesIO()
    job = Job(out, title, "workbook", fronts=False)
    for face in (render.WORKBOOK, render.ANSWER_KEY):
        data = render.render([page], face, size, title, "workbook")
        job.add_finished(FinishedPdf(data), size, face)
    job.finish(subject=render.SUBJECTS[render.WORKBOOK])
    return out.getvalue()


def png(exercise: Exercise) -> bytes:
    """A picture of both pages, the blank one on top.

    Raises WorkbookError if pypdfium2, which renders the pages, is missing.
    """
    try:
        import pypdfium2
        from PIL import Image
    except ImportError:
        raise WorkbookError(
            "a PNG needs the pypdfium2 package (pip install pypdfium2); for a PDF, name a file "
            "that ends in .pdf"
        ) from None
    with closing(pypdfium2.PdfDocument(pdf(exercise))) as document:
        pages = [page.render(scale=PIXELS_PER_POINT).to_pil() for page in document]
    picture = Image.new("RGB", (pages[0].width, sum(page.height for page in pages)), "white")
    top = 0
    for page in pages:
        picture.paste(page, (0, top))
        top += page.height
    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()
