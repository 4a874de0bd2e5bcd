"""Numerals, chord symbols and figures: how they are read, set, and copied from the page."""

import io
import re
from itertools import product

import pypdfium2
import pytest
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from workbook.music.chords import Harmony, qualities
from workbook.music.keys import ALL_KEYS
from workbook.music.numerals import SEVENTH_FIGURES, TRIAD_FIGURES
from workbook.pdf.content import read_pages
from workbook.typesetting import figured
from workbook.typesetting.lines import Lines
from workbook.typesetting.runs import runs
from workbook.typesetting.text import width


def read(text, grammar):
    """A symbol with "^" before raised figures, "^…_…" for a stack, "*" before drawn signs."""
    written = {
        "text": "{}".format,
        "raised": "^{}".format,
        "sign": "*{}".format,
        "stack": lambda said: "^{}_{}".format(*said.split("/")) if "/" in said else said,
    }
    return "".join(written[part.kind](part.text) for part in figured.parts(text, grammar))


NUMERALS = {
    "I": "I",
    "ii6": "ii^6",
    "IV6/4": "IV^6_4",
    "V7": "V^7",
    "V4/2": "V^4_2",
    "V6/5/V": "V^6_5/V",
    "V7/V": "V^7/V",
    "V/ii": "V/ii",
    "vii°6": "vii*°^6",
    "viiø7": "vii*ø^7",
    "viiø4/3": "vii*ø^4_3",
    "vii°7/vi": "vii*°^7/vi",
    "III+6": "III^+^6",
    "N6": "N^6",
    "Ger+6": "Ger^+^6",
    "(V6/5)": "(V^6_5)",
    "V65": "V65",
    "Ib": "Ib",
    "V7 of V": "V7 of V",
}
CHORDS = {
    "B♭": "B♭",
    "B♭7": "B♭^7",
    "F♯m7": "F♯m^7",
    "Cmaj7": "Cmaj^7",
    "Bø7": "B*ø^7",
    "B°7": "B*°^7",
    "C°": "C*°",
    "C+": "C^+",
    "E7/G♯": "E^7/G♯",
    "Am/C": "Am/C",
    "B♭m7♭5": "B♭m^7♭5",
    "fa♯m7": "fa♯m^7",
    "(A7)": "(A^7)",
    "maj7": "maj^7",
    "ø7": "*ø^7",
    "major seventh": "major seventh",
    "7": "7",
}
FIGURES = {"5/3": "^5_3", "6": "6", "6/4": "^6_4", "7/5/3": "7/5/3"}


@pytest.mark.parametrize(
    "grammar, cases", [("numeral", NUMERALS), ("chord", CHORDS), ("figures", FIGURES)]
)
def test_a_spelling_is_read(grammar, cases):
    assert {text: read(text, grammar) for text in cases} == cases


def harmonies():
    """Every chord of every key, in each inversion."""
    for key, degree, seventh in product(ALL_KEYS, range(1, 8), (False, True)):
        for name in qualities(key.mode, degree, seventh):
            for turn in range(4 if seventh else 3):
                yield Harmony(key, degree, name, turn)


def test_every_numeral_and_chord_name_is_set_with_its_figures():
    figures = {*TRIAD_FIGURES, *SEVENTH_FIGURES} - {""}
    seen = set()
    for chord in harmonies():
        for text in (chord.numeral, f"{chord.numeral}/V"):
            said = {part.kind: part.text for part in figured.parts(text, "numeral")}
            assert "".join(part.text for part in figured.parts(text, "numeral")) == text
            assert said.get("stack", "") == (chord.figures if "/" in chord.figures else "")
            assert said.get("sign", "") == chord.kind.sign.replace("+", "")
            assert not re.search(r"\d", said["text"]), text
        seen.add(chord.figures)
        for text in (chord.symbol(), chord.symbol(bass=True)):
            found = figured.parts(text, "chord")
            assert "".join(part.text for part in found) == text
            assert not any(
                re.search(r"[\d°ø+]", part.text) for part in found if part.kind == "text"
            )
            assert ("raised", "7") in found or not chord.kind.seventh
    assert seen >= figures


def test_symbols_in_running_text():
    text = "Use figures (such as ii6, V7/V) and names (G7). Dm, C4, A5, M7, level 6, V65 stay."
    found = [piece for piece, grammar in figured.pieces(text, "words") if grammar]
    assert found == ["ii6,", "V7/V)", "G7)."]
    assert "".join(piece for piece, _ in figured.pieces(text, "words")) == text
    assert figured.pieces("also 4: iv6/4", "words")[-1] == ("iv6/4", "numeral")
    qualities = "Write maj7, dom7, (min7), ø7 or °7; M7, m7 and half-dim7 stay."
    found = [piece for piece, grammar in figured.pieces(qualities, "words") if grammar]
    assert found == ["maj7,", "dom7,", "min7),", "ø7", "°7;"]
    assert figured.pieces("Level V7", "") == (("Level V7", ""),)


@pytest.mark.parametrize(
    "symbol",
    ["Sol7", "Do♯m7", "Réø7", "Si♭maj7", "La7/Do♯", "Fism7", "Es7", "Asmaj7", "H°", "Cisø7/E"],
)
def test_chord_symbols_in_words_with_note_names_of_other_languages(symbol):
    text = f"chord names (such as Rem or {symbol})"
    assert [one for one in figured.pieces(text, "words") if one[1]] == [(f"{symbol})", "chord")]


def drawn(*texts, face="bold", align="left"):
    """A page with each of ``texts``, a text and its grammar, on a line of its own."""
    buffer = io.BytesIO()
    canvas = Canvas(buffer, pagesize=(400, 800), initialFontName=runs("a")[0][0])
    lines = Lines(canvas)
    for row, (text, grammar) in enumerate(texts):
        lines.draw(200, 780 - 30 * row, text, face, 14, align, None, grammar)
    lines.finish()
    canvas.showPage()
    canvas.save()
    return buffer.getvalue()


ALL = [
    (text, grammar)
    for grammar, cases in (("numeral", NUMERALS), ("chord", CHORDS), ("figures", FIGURES))
    for text in cases
]


def test_the_plain_spelling_is_copied():
    """What three readers find: our own, pypdf, and pdfium within the place of the symbol."""
    for start in range(0, len(ALL), 20):
        some = ALL[start : start + 20]
        data = drawn(*some)
        wanted = [text for text, _ in some]
        assert [words.text for words in read_pages(data)[0].words] == wanted
        assert PdfReader(io.BytesIO(data)).pages[0].extract_text().split("\n") == wanted
        page = pypdfium2.PdfDocument(data)[0].get_textpage()
        for row, (text, grammar) in enumerate(some):
            right = 200 + figured.width(text, grammar, "bold", 14)
            y = 780 - 30 * row
            found = page.get_text_bounded(198, y - 8, right + 2, y + 18)
            assert "".join(found.split()) == "".join(text.split())


def test_running_text_is_copied():
    text = "Write ii6, V6/5 or vii°7/V (not E7/G♯)."
    data = drawn((text, "words"))
    assert [words.text for words in read_pages(data)[0].words] == [text]
    assert PdfReader(io.BytesIO(data)).pages[0].extract_text() == text
    assert pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range() == text


def ink(data):
    """The ink of a page as (left, bottom, right, top) in points."""
    picture = pypdfium2.PdfDocument(data)[0].render(scale=8, grayscale=True).to_pil()
    left, top, right, bottom = picture.point(lambda value: 255 * (value < 128)).getbbox()
    return left / 8, 800 - bottom / 8, right / 8, 800 - top / 8


@pytest.mark.parametrize("text, grammar", ALL)
@pytest.mark.parametrize("face", ["regular", "bold"])
def test_the_width_is_that_of_the_ink(text, grammar, face):
    wide = figured.width(text, grammar, face, 14)
    left, low, right, high = ink(drawn((text, grammar), face=face, align="center"))
    assert 200 - wide / 2 - 0.5 <= left and right <= 200 + wide / 2 + 0.5
    assert right - left >= wide - 3.5  # side bearings
    assert low >= 780 - 4.5 and high <= 780 + 13.0


def test_a_stack_stands_over_itself_and_takes_one_figure_of_width():
    letters, figure = width("V", "bold", 14), width("6", "bold", 14 * 0.62)
    found = figured.width("V6/5", "numeral", "bold", 14)
    assert found == pytest.approx(letters + figure + 0.05 * 14)
    assert figured.width("V7", "numeral", "bold", 14) == pytest.approx(found)
    symbol = figured.symbol("V6/5", "numeral", "bold")
    _, upper, slash, lower = symbol.glyphs
    assert upper.x == lower.x and upper.rise > lower.rise and slash.hidden
    small = figured.symbol("V6/5", "numeral", "regular", small=True).glyphs[-1]
    assert small.size > lower.size


def test_signs_are_drawn_as_circles():
    plain, struck = (figured.symbol(text, "numeral").circles for text in ("vii°7", "viiø7"))
    assert [circle.struck for circle in plain + struck] == [False, True]
    stream = drawn(("vii°7", "numeral"), ("ii6", "numeral"))
    pages = pypdfium2.PdfDocument(stream)
    paths = [one for one in pages[0].get_objects() if one.type == pypdfium2.raw.FPDF_PAGEOBJ_PATH]
    assert len(paths) == 1
    assert read_pages(stream)[0].boxes == [] and read_pages(stream)[0].lines == []
