"""Pages to PDF: text, rules and boxes by reportlab, snippets as Form XObjects.

In: pages and the face to print. Out: the bytes of a tagged PDF. What is drawn stands in layers, its
text in reading order; the structure says what belongs together. Each snippet and each music glyph
is stored once per file and placed with a ``cm`` operator (ISO 32000-1, 8.10).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from reportlab.lib.colors import Color
from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas

from workbook import design
from workbook.engraving.glyphs import Glyph
from workbook.exercises.answers import in_two
from workbook.exercises.families import KINDS
from workbook.exercises.model import DRAWN
from workbook.pages.boxes import Shape, placed, rounded, shape
from workbook.pages.document import empty_canvas, finished
from workbook.pages.elements import (
    DOCUMENT,
    Box,
    Element,
    Entry,
    Page,
    Panel,
    Picture,
    Rule,
    Start,
    Text,
)
from workbook.pages.reading import ASIDE, Reading
from workbook.typesetting import text
from workbook.typesetting.lines import Lines, filling, stroking
from workbook.typesetting.pdf_syntax import number

WORKBOOK, ANSWER_KEY = "workbook", "answer key"
SUBJECTS = {
    WORKBOOK: "Written exercises in keyboard skills and music literacy",
    ANSWER_KEY: "Answers to written exercises in keyboard skills and music literacy",
}
"""What each face is about, for the document's information."""

_BLACK, _WHITE = Color(0, 0, 0), Color(1, 1, 1)
_QUIET, _BOX = (Color(grey, grey, grey) for grey in (design.KEY_QUIET, design.KEY_BOX))
_RED = Color(*design.ANSWER)
_UNNAMED = Start(DOCUMENT, "P")
"""What stands before the first start of a page."""
_Part = tuple[Start, list[Text | Box]]
"""What is written in one part of a document: texts, and boxes whose answers are shown."""
_TO_BASELINE = {1: 0.35, 2: 0.29}
"""From the middle of a box to the middle of the baselines of an answer in one or two lines, in
sizes of its type: the letters below the last line need room."""
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
    """A page prepared once for printing on both faces.

    ``parts`` are for each face its texts and answers, ``frames`` the outlines of boxes, each with
    its start.
    """

    def __init__(self, page: Page):
        self.entries: list[Entry] = []
        self.pictures: list[tuple[Start, Picture]] = []
        self.parts: dict[str, list[_Part]] = {WORKBOOK: [], ANSWER_KEY: []}
        framed: list[tuple[Start, list[tuple[Box, Shape]]]] = []
        start, boxes = _UNNAMED, list[tuple[Box, Shape]]()
        plain, answered = list[Text | Box](), list[Text | Box]()
        tinted, ruled = list[Element](), list[Element]()
        for element in (_UNNAMED, *page.elements):
            if isinstance(element, Text):
                _add_text(element, plain, answered)
            elif isinstance(element, Box):
                if element.blank.asks not in DRAWN:
                    answered.append(element)
                    if element.blank.given:
                        plain.append(element)
                        tinted.append(element)
                    else:
                        boxes.append((element, shape(element)))
            elif isinstance(element, Start):
                start, plain, answered, boxes = element, [], [], []
                self.parts[WORKBOOK].append((start, plain))
                self.parts[ANSWER_KEY].append((start, answered))
                framed.append((start, boxes))
            elif isinstance(element, Picture):
                self.pictures.append((start, element))
            elif isinstance(element, Entry):
                self.entries.append(element)
            else:
                tinted.append(element)
                ruled.append(element)
        self.frames = [(start, _stroked(placed(boxes))) for start, boxes in framed if boxes]
        self.shapes = {one for _, boxes in framed for _, one in boxes}
        self.panels, self.rules = _panels(tinted), _rules(ruled)


def _add_text(text: Text, plain: list[Text | Box], answered: list[Text | Box]) -> None:
    """Add a text to what is shown on the workbook, on the answer key, or on both."""
    if text.text:
        if text.only != ANSWER_KEY:
            plain.append(text)
        if text.only != WORKBOOK:
            answered.append(text)


def render(
    pages: Sequence[Page | Ready],
    face: str,
    size: tuple[float, float],
    title: str,
    author: str,
    grey: bool = False,
    subject: str = "",
) -> bytes:
    """The PDF of ``pages``. ``size`` is width and height in points.

    ``face`` is WORKBOOK or ANSWER_KEY. With ``grey``, answers are black instead of dark red.
    ``subject`` is what the file is about, if it is not what its face says.
    """
    red = _BLACK if grey else _RED
    inks = (
        Inks(_BLACK, _BLACK, _BLACK, _BLACK, red, 1.0)
        if face == WORKBOOK
        else Inks(_BLACK, _QUIET, _QUIET, _BOX, red, _MUSIC)
    )
    label = "" if face == WORKBOOK else "Key "
    canvas = empty_canvas(size, title, author, subject or SUBJECTS[face], label)
    reading = Reading(face == ANSWER_KEY)
    forms, lines = _Forms(canvas), Lines(canvas)
    for count, page in enumerate(pages):
        ready = Ready(page) if isinstance(page, Page) else page
        # a figure has no text, and an empty cell is one, too
        parts = [
            (start, shown)
            for start, shown in ready.parts[face]
            if shown or not start.role or start.role in ("TH", "TD")
        ]
        reading.page([start for start, _ in parts])
        for index, entry in enumerate(ready.entries):
            name = f"s{count}-{index}"
            canvas.bookmarkHorizontal(name, 0, entry.y)
            canvas.addOutlineEntry(text.clean(entry.text), name, 0)
        canvas.addLiteral(stroking(inks.box))
        canvas.addLiteral(ready.panels)
        _pictures(canvas, ready.pictures, face, forms, inks, reading)
        canvas.addLiteral(f"{stroking(inks.text)}\n{ready.rules}")
        forms.use(ready.shapes)
        _outlines(canvas, ready.frames, inks, reading)
        _texts(lines, parts, inks, reading)
        canvas.showPage()
    forms.finish()
    return finished(canvas, reading.structure)


def _panels(elements: Iterable[Element]) -> str:
    """The operators for what is under everything else: tints of boxes filled in as help, and the
    black of badges.
    """
    code = []
    for element in elements:
        if isinstance(element, Box):
            if element.framed:
                code.append(f"{number(design.TINT)} g {number(element.line)} w")
                code.append(rounded(element.rect, element.corner, "B"))
        elif isinstance(element, Panel) and element.fill is not None:
            code.append(f"{number(element.fill)} g")
            code.append(rounded(element.rect, element.radius, "f"))
    return "\n".join([ASIDE, "q", *code, "Q", "EMC"]) if code else ""


def _rules(elements: Iterable[Element]) -> str:
    """The operators for rules, and for the outlines of panels."""
    code = _stroked(
        (
            one.width,
            f"n {number(one.x0)} {number(one.y0)} m {number(one.x1)} {number(one.y1)} l S",
        )
        if isinstance(one, Rule)
        else (one.line, rounded(one.rect, one.radius, "s"))
        for one in elements
        if isinstance(one, Rule) or (isinstance(one, Panel) and one.line)
    )
    return f"{ASIDE}\n{code}\nEMC" if code else ""


def _stroked(lines: Iterable[tuple[float, str]]) -> str:
    """Operators that stroke, each with its line width, which is set only where it changes."""
    code, width = [], 0.0
    for new, drawn in lines:
        if new != width:
            code.append(f"{number(new)} w")
            width = new
        code.append(drawn)
    return "\n".join(code)


def _outlines(
    canvas: Canvas, frames: list[tuple[Start, str]], inks: Inks, reading: Reading
) -> None:
    """Draw the outlines of the boxes to write in."""
    canvas.addLiteral(stroking(inks.box))
    for start, code in frames:
        canvas.addLiteral(f"{reading.begin(start)}\n{code}\nEMC")


def _texts(lines: Lines, parts: Iterable[_Part], inks: Inks, reading: Reading) -> None:
    """Draw a page's texts and the answers in its boxes, part by part."""
    for start, elements in parts:
        if not elements:
            continue
        lines.begin(reading.begin(start))
        for element in elements:
            if isinstance(element, Box):
                _answer(lines, element, inks)
                continue
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
        lines.end()
    lines.finish()


def _answer(lines: Lines, element: Box, inks: Inks) -> None:
    x0, y0, x1, y1 = element.rect
    blank, flush = element.blank, element.flush and not element.framed
    shown = in_two(blank.answer) if element.in_two else (blank.answer,)
    lead = design.ANSWER_LEADING * element.size
    y = (y0 + y1) / 2 - _TO_BASELINE[len(shown)] * element.size + lead * (len(shown) - 1) / 2
    for line in shown:
        lines.draw(
            x0 if flush else (x0 + x1) / 2,
            y,
            line,
            "regular" if blank.given else "bold",
            element.size,
            "left" if flush else "center",
            inks.given if blank.given else inks.answer,
            KINDS[blank.asks].figured,
        )
        y -= lead


def _pictures(
    canvas: Canvas,
    pictures: list[tuple[Start, Picture]],
    face: str,
    forms: _Forms,
    inks: Inks,
    reading: Reading,
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
    for start, picture in pictures:
        forms.draw(picture, picture.snippet.printed, "", reading.begin(start))
    canvas.restoreState()
    if face == ANSWER_KEY:
        canvas.saveState()
        canvas.addLiteral(f"{filling(inks.answer)} {stroking(inks.answer)}")
        for start, picture in pictures:
            if picture.snippet.written:
                forms.draw(picture, picture.snippet.written, "-written", reading.begin(start))
        canvas.restoreState()


class _Forms:
    """The snippets and glyphs of one file. All snippets share one dictionary of glyphs."""

    def __init__(self, canvas: Canvas):
        self._canvas = canvas
        self._glyphs: dict[str, Glyph] = {}
        self._shared = pdfdoc.PDFDictionary()

    def draw(self, picture: Picture, content: bytes, ending: str, begin: str) -> None:
        """Place a picture; ``begin`` begins it as a piece of content."""
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
            f"{begin}\nq\n{scale:.6g} 0 0 {scale:.6g} "
            f"{number(picture.x - scale * snippet.x)} "
            f"{number(picture.y - scale * snippet.y)} cm"
        )
        if picture.band:
            low, high = picture.band
            clip = canvas.beginPath()
            clip.rect(snippet.x, snippet.y + low, snippet.width, high - low)
            canvas.clipPath(clip, stroke=0)
        canvas.doForm(name)
        canvas.addLiteral("Q\nEMC")

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
