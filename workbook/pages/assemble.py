"""Sheets to PDF: text, rules and boxes by reportlab, snippets as Form XObjects.

In: sheets and which face to print. Out: the bytes of a PDF. A snippet, and a
glyph of music, goes in once per file and is drawn with one ``cm`` wherever it
stands (ISO 32000-1, 8.10).
"""

from __future__ import annotations

import io
from contextlib import contextmanager
from dataclasses import dataclass

from reportlab import rl_config
from reportlab.lib.colors import Color
from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas

from workbook.engraving.glyphs import Glyph
from workbook.engraving.ink import PEN
from workbook.engraving.snippet import Snippet
from workbook.exercises.model import DRAWN
from workbook.pages import text
from workbook.pages.marks import Box, Entry, Picture, Rule, Sheet, Text

WORKBOOK, ANSWER_KEY = "workbook", "answer key"

_BLACK, _GREY = Color(0, 0, 0), Color(0.42, 0.42, 0.42)
_FADE = 0.58


@dataclass(frozen=True)
class Inks:
    """The colours of a face: of what is printed on both, of answers, and the pictures' opacity."""

    quiet: Color
    answer: Color
    opacity: float


def render(sheets: list[Sheet], face: str, size: tuple[float, float], title: str, author: str,
           grey: bool = False) -> bytes:
    """The PDF of ``sheets`` of ``size`` (width, height in points), for student or marker.

    With ``grey`` the answers are black in place of dark red.
    """
    inks = Inks(_BLACK if face == WORKBOOK else _GREY, _BLACK if grey else Color(*PEN),
                1.0 if face == WORKBOOK else _FADE)
    buffer = io.BytesIO()
    with _plain_streams():
        canvas = Canvas(buffer, pagesize=size, invariant=1, lang="en", pageCompression=1,
                        initialFontName=text.runs("a")[0][0])  # else Helvetica, not embedded
        canvas.setTitle(title)
        canvas.setAuthor(author)
        canvas.setCreator("workbook")
        canvas.setViewerPreference("DisplayDocTitle", "true")
        canvas.addPageLabel(0, "ARABIC", 1, "" if face == WORKBOOK else "Key ")
        forms = _Forms(canvas)
        for number, sheet in enumerate(sheets):
            entries = [mark for mark in sheet.marks if isinstance(mark, Entry)]
            for index, entry in enumerate(entries):
                name = f"s{number}-{index}"
                canvas.bookmarkHorizontal(name, 0, entry.y)
                canvas.addOutlineEntry(text.clean(entry.text), name, 0)
            _pictures(canvas, sheet, face, forms, inks)
            _ruled(canvas, sheet, inks)
            _texts(canvas, sheet, face, inks)
            canvas.showPage()
        forms.finish()
        canvas.save()
    return buffer.getvalue()


@contextmanager
def _plain_streams():
    """Streams as bytes: reportlab else writes them as text, a quarter longer."""
    before = rl_config.useA85
    rl_config.useA85 = 0
    try:
        yield
    finally:
        rl_config.useA85 = before


def _ruled(canvas: Canvas, sheet: Sheet, inks: Inks) -> None:
    """Rules and boxes; the width of the line is set where it changes."""
    canvas.setStrokeColor(inks.quiet)
    wide = 0.0
    for mark in sheet.marks:
        if isinstance(mark, Rule):
            new = mark.width
        elif isinstance(mark, Box) and not mark.blank.given and mark.blank.asks not in DRAWN:
            new = 0.7 * mark.scale
        else:
            continue
        if new != wide:
            canvas.setLineWidth(new)
            wide = new
        if isinstance(mark, Rule):
            canvas.line(mark.x0, mark.y0, mark.x1, mark.y1)
        else:
            x0, y0, x1, y1 = mark.rect
            canvas.rect(round(x0, 3), round(y0, 3), round(x1 - x0, 3), round(y1 - y0, 3))


def _texts(canvas: Canvas, sheet: Sheet, face: str, inks: Inks) -> None:
    """The words of the page and what stands in the boxes."""
    lines = text.Lines(canvas)
    for mark in sheet.marks:
        if isinstance(mark, Text) and mark.only in ("", face):
            lines.draw(mark.x, mark.y, mark.text, mark.face, mark.size, mark.align,
                       inks.answer if mark.only else inks.quiet)
        elif isinstance(mark, Box) and mark.blank.asks not in DRAWN:
            blank = mark.blank
            if blank.given or face == ANSWER_KEY:
                _answer(lines, mark, inks)
    lines.finish()


def _answer(lines: text.Lines, mark: Box, inks: Inks) -> None:
    x0, y0, x1, y1 = mark.rect
    blank = mark.blank
    lines.draw((x0 + x1) / 2, (y0 + y1) / 2 - 0.35 * mark.size, blank.answer,
               "regular" if blank.given else "bold", mark.size, "center",
               inks.quiet if blank.given else inks.answer)


def _pictures(canvas: Canvas, sheet: Sheet, face: str, forms: _Forms, inks: Inks) -> None:
    """Draw the snippets, beneath all else.

    On the answer key they are faded, with what the student writes on top in full.
    """
    pictures = [mark for mark in sheet.marks if isinstance(mark, Picture)]
    if not pictures:
        return
    canvas.saveState()
    if inks.opacity < 1:
        canvas.setFillAlpha(inks.opacity)
        canvas.setStrokeAlpha(inks.opacity)
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
    """The snippets and glyphs of one file; all snippets share one dictionary of glyphs."""

    def __init__(self, canvas: Canvas):
        self._canvas = canvas
        self._glyphs: dict[str, Glyph] = {}
        self._shared = pdfdoc.PDFDictionary()

    def draw(self, picture: Picture, content: bytes, ending: str) -> None:
        snippet, canvas = picture.snippet, self._canvas
        name = snippet.name + ending
        if not canvas.hasForm(name):
            self._glyphs.update((glyph.name, glyph) for glyph in snippet.glyphs)
            form = self._form((snippet.x, snippet.y, snippet.x + snippet.width,
                               snippet.y + snippet.height), content)
            form.dictionary["Resources"] = canvas._doc.Reference(self._shared, "music")
            form.dictionary["Group"] = pdfdoc.PDFDictionary({
                "S": pdfdoc.PDFName("Transparency"), "I": "true"})
            canvas._doc.addForm(name, form)
        canvas.saveState()
        scale = picture.scale
        canvas.transform(scale, 0, 0, scale, round(picture.x - scale * snippet.x, 3),
                         round(picture.y - scale * snippet.y, 3))
        if picture.band:
            low, high = picture.band
            clip = canvas.beginPath()
            clip.rect(snippet.x, snippet.y + low, snippet.width, high - low)
            canvas.clipPath(clip, stroke=0)
        canvas.doForm(name)
        canvas.restoreState()

    def finish(self) -> None:
        """Put the glyphs in; call when all is drawn."""
        named = {}
        for name, glyph in sorted(self._glyphs.items()):
            form = self._form(glyph.box, glyph.outline)
            form.dictionary["Matrix"] = pdfdoc.PDFArray([0.001, 0, 0, 0.001, 0, 0])
            named[name] = self._canvas._doc.Reference(form, name)
        self._shared.dict["XObject"] = pdfdoc.PDFDictionary(named)

    @staticmethod
    def _form(box, content: bytes) -> pdfdoc.PDFStream:
        return pdfdoc.PDFStream(pdfdoc.PDFDictionary({
            "Type": pdfdoc.PDFName("XObject"), "Subtype": pdfdoc.PDFName("Form"),
            "BBox": pdfdoc.PDFArray([round(v, 3) for v in box]),
            "Filter": pdfdoc.PDFName("FlateDecode")}), content)
