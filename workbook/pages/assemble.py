"""Sheets to PDF: text, rules and boxes by reportlab, snippets placed by pypdf.

In: sheets and which face to print. Out: the bytes of a PDF. A snippet goes in
once per file, as a Form XObject, and is drawn with one ``cm`` wherever it stands.
"""

from __future__ import annotations

import io

from pypdf import PdfReader, PdfWriter
from pypdf.generic import (ArrayObject, DictionaryObject, FloatObject, NameObject,
                           BooleanObject, StreamObject, TextStringObject)
from reportlab.lib.colors import Color
from reportlab.pdfgen.canvas import Canvas

from workbook.engraving.ink import PEN
from workbook.engraving.snippet import Snippet
from workbook.exercises.model import DRAWN
from workbook.pages import text
from workbook.pages.marks import Box, Entry, Picture, Rule, Sheet, Text

WORKBOOK, ANSWER_KEY = "workbook", "answer key"

_BLACK, _GREY = Color(0, 0, 0), Color(0.42, 0.42, 0.42)
_ANSWER = Color(*PEN)
_FADE = 0.58
_ANSWER_SIZE = {"finger": 12.0, "interval": 12.0}


def render(sheets: list[Sheet], face: str, size: tuple[float, float], title: str, author: str) -> bytes:
    """The PDF of ``sheets`` of ``size`` (width, height in points), for student or marker."""
    buffer = io.BytesIO()
    canvas = Canvas(buffer, pagesize=size, invariant=1, lang="en",
                    initialFontName=text.runs("a")[0][0])  # else Helvetica, not embedded
    canvas.setTitle(title)
    canvas.setAuthor(author)
    canvas.setCreator("workbook")
    for number, sheet in enumerate(sheets):
        entries = [mark for mark in sheet.marks if isinstance(mark, Entry)]
        for index, entry in enumerate(entries):
            name = f"s{number}-{index}"
            canvas.bookmarkHorizontal(name, 0, entry.y)
            canvas.addOutlineEntry(text.clean(entry.text), name, 0)
        for mark in sheet.marks:
            _draw(canvas, mark, face)
        canvas.showPage()
    canvas.save()
    writer = PdfWriter(clone_from=PdfReader(buffer))
    _place(writer, sheets, face == ANSWER_KEY)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def _draw(canvas: Canvas, mark, face: str) -> None:
    quiet = _GREY if face == ANSWER_KEY else _BLACK
    if isinstance(mark, Text) and mark.only in ("", face):
        text.draw(canvas, mark.x, mark.y, mark.text, mark.face, mark.size, mark.align,
                  _ANSWER if mark.only else quiet)
    elif isinstance(mark, Rule):
        canvas.setStrokeColor(quiet)
        canvas.setLineWidth(mark.width)
        canvas.line(mark.x0, mark.y0, mark.x1, mark.y1)
    elif isinstance(mark, Box) and mark.blank.asks not in DRAWN:
        _box(canvas, mark, face, quiet)


def _box(canvas: Canvas, mark: Box, face: str, quiet: Color) -> None:
    x0, y0, x1, y1 = mark.rect
    blank = mark.blank
    if not blank.given:
        canvas.setStrokeColor(quiet)
        canvas.setLineWidth(0.7)
        canvas.rect(x0, y0, x1 - x0, y1 - y0, stroke=1, fill=0)
    if blank.given or face == ANSWER_KEY:
        size = _ANSWER_SIZE.get(blank.asks, 13.0)
        bold = "regular" if blank.given else "bold"
        wide = text.width(blank.answer, bold, size)
        size = min(size, size * (x1 - x0 - 3) / wide)
        text.draw(canvas, (x0 + x1) / 2, (y0 + y1) / 2 - 0.35 * size, blank.answer, bold, size,
                  "center", quiet if blank.given else _ANSWER)


def _place(writer: PdfWriter, sheets: list[Sheet], answered: bool) -> None:
    """Draw the snippets beneath what reportlab drew.

    On the answer key they are faded, with what the student writes on top in full.
    """
    forms: dict[tuple[int, bool], tuple[str, object]] = {}
    state = None
    if answered:
        state = writer._add_object(DictionaryObject({
            NameObject("/Type"): NameObject("/ExtGState"),
            NameObject("/ca"): FloatObject(_FADE), NameObject("/CA"): FloatObject(_FADE)}))
    for page, sheet in zip(writer.pages, sheets):
        pictures = [mark for mark in sheet.marks if isinstance(mark, Picture)]
        if not pictures:
            continue
        named, printed, written = DictionaryObject(), [], []

        def draw(picture: Picture, content: bytes, pen: bool) -> str:
            snippet = picture.snippet
            if (id(snippet), pen) not in forms:
                forms[id(snippet), pen] = f"/M{len(forms)}", _form(writer, snippet, content)
            name, reference = forms[id(snippet), pen]
            named[NameObject(name)] = reference
            return (f"q 1 0 0 1 {picture.x - snippet.x:.3f} {picture.y - snippet.y:.3f} cm"
                    f" {name} Do Q")

        for picture in pictures:
            printed.append(draw(picture, picture.snippet.content, False))
            if answered and picture.snippet.written:
                written.append(draw(picture, picture.snippet.written, True))
        fade = ["/Fade gs"] if answered else []
        stream = StreamObject()
        stream.set_data("\n".join(["q", *fade, *printed, "Q", *written]).encode())
        resources = page["/Resources"].get_object()
        resources[NameObject("/XObject")] = named
        if state is not None:
            resources[NameObject("/ExtGState")] = DictionaryObject({NameObject("/Fade"): state})
        page[NameObject("/Contents")] = ArrayObject(
            [writer._add_object(stream.flate_encode()), page.raw_get("/Contents")])


def _form(writer: PdfWriter, snippet: Snippet, content: bytes):
    form = StreamObject()
    form.set_data(content)
    form = form.flate_encode()
    form.update({
        NameObject("/Type"): NameObject("/XObject"), NameObject("/Subtype"): NameObject("/Form"),
        NameObject("/BBox"): ArrayObject([FloatObject(round(v, 3)) for v in (
            snippet.x, snippet.y, snippet.x + snippet.width, snippet.y + snippet.height)]),
        NameObject("/Group"): DictionaryObject({
            NameObject("/S"): NameObject("/Transparency"), NameObject("/I"): BooleanObject(True)}),
        NameObject("/Resources"): snippet.resources.clone(writer)})
    return writer._add_object(form)


def join(files: list[bytes], title: str, author: str, fronts: bool = True) -> bytes:
    """One PDF of several; with ``fronts`` each begins on a front side (an odd page)."""
    writer = PdfWriter()
    for file in files:
        if fronts and len(writer.pages) % 2:
            writer.add_blank_page()
        writer.append(io.BytesIO(file))
    writer.add_metadata({"/Title": title, "/Author": author, "/Creator": "workbook"})
    writer.root_object[NameObject("/Lang")] = TextStringObject("en")
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()
