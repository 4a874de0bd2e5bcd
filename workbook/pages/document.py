"""An empty reportlab canvas with its metadata, and the finished file of one that was drawn on.

In: title, author and what the file is about; later the structure of its pages. Out: the bytes of a
tagged PDF.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager

from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas

from workbook.pages.page_objects import PageObject
from workbook.pdf.metadata import LANGUAGE, PROGRAM, About, xmp
from workbook.pdf.packed import packed
from workbook.pdf.structure import Structure
from workbook.typesetting.runs import runs

_MIXED = re.compile(r"(?<!\S)([\d.]+) \1 \1 (rg|RG)(?!\S)")
_GREYS = {"rg": "g", "RG": "G"}


def empty_canvas(
    size: tuple[float, float], title: str, author: str, subject: str, label: str = ""
) -> Canvas:
    """An empty document with its metadata. ``label`` stands before the numbers of its pages."""
    canvas = Canvas(
        io.BytesIO(),
        pagesize=size,
        invariant=1,
        lang=LANGUAGE,
        pageCompression=1,
        initialFontName=runs("a")[0][0],  # the default, Helvetica, is not embedded
    )
    canvas.setTitle(title)
    canvas.setAuthor(author)
    canvas.setSubject(subject)
    canvas.setTrimBox((0, 0, *size))
    canvas.setCreator(PROGRAM)
    canvas.setViewerPreference("DisplayDocTitle", "true")
    canvas.addPageLabel(0, "ARABIC", 1, label)
    return canvas


@contextmanager
def aside(canvas: Canvas) -> Iterator[None]:
    """What is drawn in the meantime is not part of the text."""
    canvas.addLiteral("/Artifact BMC")
    yield
    canvas.addLiteral("EMC")


def finished(canvas: Canvas, structure: Structure, drawings: bool = False) -> bytes:
    """The file of all that was drawn, with its structure and its metadata.

    With ``drawings`` of reportlab.graphics, which knows no greys but as mixtures of red, green
    and blue, these become greys (ISO 32000-1, 8.6.4.2).
    """
    document = canvas._doc
    for page in document.Pages.pages:
        if drawings:
            page.stream = _MIXED.sub(lambda found: f"{found[1]} {_GREYS[found[2]]}", page.stream)
        document.idToObject[document.Reference(page).name] = PageObject(page)
    objects = _objects(canvas)
    pages = [_number(document, page) for page in document.Pages.pages]
    for index, number in enumerate(pages):
        objects[number - 1] = _with(objects[number - 1], b"/StructParents %d /Tabs /S" % index)
    metadata, root = len(objects) + 1, len(objects) + 2
    tree, parts = structure.objects(root + 1, root, pages)
    catalog, info = (_number(document, one) for one in (document.Catalog, document.info))
    objects[catalog - 1] = _with(
        objects[catalog - 1],
        b"/MarkInfo <</Marked true>> /StructTreeRoot %d 0 R /Metadata %d 0 R" % (root, metadata),
    )
    said = document.info
    about = About(said.title, said.author, said.subject, LANGUAGE, said.producer)
    return packed([*objects, xmp(about)], [tree, *parts], catalog, info)


def _objects(canvas: Canvas) -> list[bytes]:
    """The text of each object of the file, from number 1 on.

    These are the steps in which reportlab writes a file, without the file itself.
    """
    document = canvas._doc
    for font in document.delayedFonts:
        font.addObjects(document)
    for one in (document.Catalog, document.info):
        document.Reference(one)
    document.info.invariant = document.invariant
    document.Outlines.prepare(document, canvas)
    if document.Outlines.ready < 0:
        document.Catalog.Outlines = None
    objects: list[bytes] = []
    # writing one may add others
    while name := document.numberToId.get(len(objects) + 1):
        objects.append(pdfdoc.format(document.idToObject[name], document, toplevel=1).rstrip())
    return objects


def _number(document: pdfdoc.PDFDocument, one: pdfdoc.PDFObject) -> int:
    """The number of an object."""
    number, _ = document.idToObjectNumberAndVersion[document.Reference(one).name]
    return int(number)


def _with(text: bytes, entries: bytes) -> bytes:
    """A dictionary with more entries."""
    return b"%b%b\n>>" % (text.rstrip().removesuffix(b">>"), entries)
