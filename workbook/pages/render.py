"""Pages to PDF: text, rules and boxes by reportlab, snippets as Form XObjects.

In: pages and the face to print. Out: the bytes of a PDF. Each snippet and each music glyph
is stored once per file and placed with a ``cm`` operator (ISO 32000-1, 8.10).
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeGuard

from reportlab.lib.colors import Color
from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas

from workbook import design
from workbook.engraving.glyphs import Glyph
from workbook.exercises.families import KINDS
from workbook.exercises.model import DRAWN
from workbook.pages.boxes import Shape, placed, rounded, shape
from workbook.pages.elements import Box, Element, Entry, Page, Panel, Picture, Rule, Text
from workbook.pages.page_resources import PageResources
from workbook.typesetting import text
from workbook.typesetting.lines import Lines, stroking
from workbook.typesetting.pdf_syntax import number
from workbook.typesetting.runs import runs

WORKBOOK, ANSWER_KEY = "workbook", "answer key"
SUBJECTS = {
    WORKBOOK: "Written exercises in keyboard skills and music literacy",
    ANSWER_KEY: "Answers to written exercises in keyboard skills and music literacy",
}
"""What each face is about, for the document's information."""

_BLACK, _WHITE = Color(0, 0, 0), Color(1, 1, 1)
_QUIET, _BOX = (Color(grey, grey, grey) for grey in (design.KEY_QUIET, design.KEY_BOX))
_RED = Color(*design.ANSWER)
_MUSIC = 1 - design.KEY_MUSIC
"""The opacity of the music on the answer key: black becomes the grey of the design."""


@dataclass(frozen=True)
class Inks:
    """The colours of a face: of text, of notes to the marker, of what is filled in as help, of
    the lines of boxes, of answers.

    ``music`` is the opacity of the pictures, from 0 to 1.
    """

    text: Color
    note: Color
    given: Color
    box: Color
    answer: Color
    music: float


class Ready:
    """A page prepared once for printing on both faces."""

    def __init__(self, page: Page):
        self.entries = [element for element in page.elements if isinstance(element, Entry)]
        self.pictures = [element for element in page.elements if isinstance(element, Picture)]
        self.texts = [element for element in page.elements if isinstance(element, Text)]
        self.boxes = [box for box in page.boxes if box.blank.asks not in DRAWN]
        self.panels = _panels(page)
        self.rules = _rules(page)
        framed = [box for box in self.boxes if not box.blank.given]
        self.shapes = {shape(box) for box in framed}
        self.frames = _stroked(placed(framed))


def render(
    pages: Sequence[Page | Ready],
    face: str,
    size: tuple[float, float],
    title: str,
    author: str,
    grey: bool = False,
) -> bytes:
    """The PDF of ``pages``. ``size`` is width and height in points.

    ``face`` is WORKBOOK or ANSWER_KEY. With ``grey``, answers are black instead of dark red.
    """
    red = _BLACK if grey else _RED
    inks = (
        Inks(_BLACK, _BLACK, _BLACK, _BLACK, red, 1.0)
        if face == WORKBOOK
        else Inks(_BLACK, _QUIET, _QUIET, _BOX, red, _MUSIC)
    )
    buffer = io.BytesIO()
    canvas = empty_canvas(buffer, face, size, title, author)
    forms, lines = _Forms(canvas), Lines(canvas)
    for count, page in enumerate(pages):
        ready = Ready(page) if isinstance(page, Page) else page
        for index, entry in enumerate(ready.entries):
            name = f"s{count}-{index}"
            canvas.bookmarkHorizontal(name, 0, entry.y)
            canvas.addOutlineEntry(text.clean(entry.text), name, 0)
        canvas.addLiteral(stroking(inks.box))
        canvas.addLiteral(ready.panels)
        _pictures(canvas, ready.pictures, face, forms, inks)
        canvas.addLiteral(f"{stroking(inks.text)}\n{ready.rules}")
        canvas.addLiteral(f"{stroking(inks.box)}\n{ready.frames}")
        forms.use(ready.shapes)
        _texts(lines, ready, face, inks)
        canvas.showPage()
    forms.finish()
    compress(canvas)
    canvas.save()
    return buffer.getvalue()


def empty_canvas(
    buffer: io.BytesIO, face: str, size: tuple[float, float], title: str, author: str
) -> Canvas:
    """An empty document with its metadata."""
    canvas = Canvas(
        buffer,
        pagesize=size,
        invariant=1,
        lang="en",
        pageCompression=1,
        initialFontName=runs("a")[0][0],  # the default, Helvetica, is not embedded
    )
    canvas.setTitle(title)
    canvas.setAuthor(author)
    canvas.setSubject(SUBJECTS[face])
    canvas.setTrimBox((0, 0, *size))
    canvas.setCreator("workbook")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    canvas.addPageLabel(0, "ARABIC", 1, "" if face == WORKBOOK else "Key ")
    return canvas


def compress(canvas: Canvas) -> None:
    """Compress the content of each page, and write its resources in one go.

    By default reportlab also encodes it as ASCII, which is a quarter longer. Its switch for
    that is global, so this sets the filter of each page instead.
    """
    for page in canvas._doc.Pages.pages:
        page.Contents = pdfdoc.PDFStream(content=page.stream, filters=[pdfdoc.PDFZCompress])
        page.Contents.__Comment__ = "page stream"
        page.Resources = PageResources(page)


def _panels(page: Page) -> str:
    """The operators for what lies under everything else: tints, and the black of badges."""
    code = []
    for element in page.elements:
        if isinstance(element, Panel) and element.fill is not None:
            code.append(f"{number(element.fill)} g")
            code.append(rounded(element.rect, element.radius, "f"))
        elif _is_filled_in(element):
            code.append(f"{number(design.TINT)} g {number(element.line)} w")
            code.append(rounded(element.rect, element.corner, "B"))
    return "\n".join(["q", *code, "Q"])


def _is_filled_in(element: Element) -> TypeGuard[Box]:
    """Whether the element is a box with its answer in it, as help."""
    return (
        isinstance(element, Box)
        and element.framed
        and element.blank.given
        and element.blank.asks not in DRAWN
    )


def _rules(page: Page) -> str:
    """The operators for the rules of a page, and for the outlines of panels."""
    return _stroked(
        (
            one.width,
            f"n {number(one.x0)} {number(one.y0)} m {number(one.x1)} {number(one.y1)} l S",
        )
        if isinstance(one, Rule)
        else (one.line, rounded(one.rect, one.radius, "s"))
        for one in page.elements
        if isinstance(one, Rule) or (isinstance(one, Panel) and one.line)
    )


def _stroked(lines: Iterable[tuple[float, str]]) -> str:
    """Operators that stroke, each with its line width, which is set only where it changes."""
    code, width = [], 0.0
    for new, drawn in lines:
        if new != width:
            code.append(f"{number(new)} w")
            width = new
        code.append(drawn)
    return "\n".join(code)


def _texts(lines: Lines, page: Ready, face: str, inks: Inks) -> None:
    """Draw the page's texts and the answers in its boxes."""
    for element in page.texts:
        if element.only in ("", face):
            lines.draw(
                element.x,
                element.y,
                element.text,
                element.face,
                element.size,
                element.align,
                _WHITE if element.white else inks.note if element.only else inks.text,
                element.grammar,
            )
    for box in page.boxes:
        if box.blank.given or face == ANSWER_KEY:
            _answer(lines, box, inks)
    lines.finish()


def _answer(lines: Lines, element: Box, inks: Inks) -> None:
    x0, y0, x1, y1 = element.rect
    blank = element.blank
    lines.draw(
        (x0 + x1) / 2,
        (y0 + y1) / 2 - 0.35 * element.size,
        blank.answer,
        "regular" if blank.given else "bold",
        element.size,
        "center",
        inks.given if blank.given else inks.answer,
        KINDS[blank.asks].figured,
    )


def _pictures(
    canvas: Canvas, pictures: list[Picture], face: str, forms: _Forms, inks: Inks
) -> None:
    """Draw the snippets below everything else.

    On the answer key they are faded, and the music that the student writes is drawn over
    them at full strength.
    """
    if not pictures:
        return
    canvas.saveState()
    if inks.music < 1:
        canvas.setFillAlpha(inks.music)
        canvas.setStrokeAlpha(inks.music)
    for picture in pictures:
        forms.draw(picture, picture.snippet.printed, "")
    canvas.restoreState()
    if face == ANSWER_KEY:
        canvas.saveState()
        canvas.setFillColor(inks.answer)
        canvas.setStrokeColor(inks.answer)
        for picture in pictures:
            if picture.snippet.written:
                forms.draw(picture, picture.snippet.written, "-written")
        canvas.restoreState()


class _Forms:
    """The snippets and glyphs of one file. All snippets share one dictionary of glyphs."""

    def __init__(self, canvas: Canvas):
        self._canvas = canvas
        self._glyphs: dict[str, Glyph] = {}
        self._shared = pdfdoc.PDFDictionary()

    def draw(self, picture: Picture, content: bytes, ending: str) -> None:
        snippet, canvas = picture.snippet, self._canvas
        name = snippet.name + ending
        if not canvas.hasForm(name):
            self._glyphs.update((glyph.name, glyph) for glyph in snippet.glyphs)
            form = _Form(
                (snippet.x, snippet.y, snippet.x + snippet.width, snippet.y + snippet.height),
                content,
                b" /Group << /S /Transparency /I true >> /Resources ",
                canvas._doc.Reference(self._shared, "music"),
            )
            canvas._doc.addForm(name, form)
        scale = picture.scale
        canvas.addLiteral(
            f"q\n{scale:.6g} 0 0 {scale:.6g} "
            f"{number(picture.x - scale * snippet.x)} "
            f"{number(picture.y - scale * snippet.y)} cm"
        )
        if picture.band:
            low, high = picture.band
            clip = canvas.beginPath()
            clip.rect(snippet.x, snippet.y + low, snippet.width, high - low)
            canvas.clipPath(clip, stroke=0)
        canvas.doForm(name)
        canvas.addLiteral("Q")

    def use(self, shapes: Iterable[Shape]) -> None:
        """Make the shapes of boxes known to the page."""
        canvas = self._canvas
        for one in sorted(shapes):
            if not canvas.hasForm(one.name):
                canvas._doc.addForm(one.name, _Form(one.bounds, one.content(), b""))
            canvas._formsinuse.append(one.name)

    def finish(self) -> None:
        """Add the glyphs. Call this after the last ``draw``."""
        named = {}
        for name, glyph in sorted(self._glyphs.items()):
            form = _Form(glyph.box, glyph.outline, b" /Matrix [0.001 0 0 0.001 0 0]")
            named[name] = self._canvas._doc.Reference(form, name)
        self._shared.dict["XObject"] = pdfdoc.PDFDictionary(named)


class _Form(pdfdoc.PDFObject):  # type: ignore[misc]  # reportlab has no types
    """A Form XObject with compressed content; ``more`` are extra entries of its dictionary."""

    __RefOnly__ = 1

    def __init__(
        self,
        box: tuple[float, ...],
        content: bytes,
        more: bytes,
        reference: pdfdoc.PDFObject | None = None,
    ):
        self._box, self._content, self._more = box, content, more
        self._reference = reference

    def format(self, document: pdfdoc.PDFDocument) -> bytes:
        reference = self._reference.format(document) if self._reference else b""
        return (
            b"<< /Type /XObject /Subtype /Form /BBox [%s]%s%s /Filter /FlateDecode "
            b"/Length %d >>\nstream\n%s\nendstream\n"
            % (
                " ".join(map(number, self._box)).encode(),
                self._more,
                reference,
                len(self._content),
                self._content,
            )
        )
