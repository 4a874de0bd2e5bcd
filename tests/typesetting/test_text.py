"""Page text: every character has a font, lines fit, and the PDF gives the text back.

Source: the code points of the music signs are those of the Unicode charts "Miscellaneous
Symbols" and "Musical Symbols".
"""

import io
import random
import unicodedata

import pytest
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from workbook.typesetting import runs as text_runs
from workbook.typesetting import text as page_text
from workbook.typesetting.fonts import faces, system
from workbook.typesetting.fonts.faces import FACES
from workbook.typesetting.lines import Lines
from workbook.typesetting.runs import Unprintable, runs, unprintable, unshaped
from workbook.typesetting.text import clean, shorten, width, wrap

SIGNS = "♯♭♮𝄪𝄫"
CYRILLIC = "Оля Щукина"


def printable_here(text):
    return pytest.mark.skipif(bool(unprintable(text)), reason=f"no font here has {text!r}")


def pdf(*lines, **options):
    out = io.BytesIO()
    canvas = Canvas(out, invariant=1, pagesize=(2000, 800))
    writer = Lines(canvas)
    for place, line in enumerate(lines):
        writer.draw(40, 700 - 40 * place, line, **options)
    writer.finish()
    canvas.save()
    return out.getvalue()


def extracted(*lines, **options):
    return PdfReader(io.BytesIO(pdf(*lines, **options))).pages[0].extract_text()


@pytest.fixture
def bare(monkeypatch):
    """A machine without any font of its own."""
    caches = (faces.font_for, faces.font_for_word, text_runs._pieces, page_text._unit_width)
    for cache in caches:
        cache.cache_clear()
    monkeypatch.setattr(system, "candidates", lambda char, face: iter(()))
    yield
    for cache in caches:
        cache.cache_clear()


@pytest.mark.parametrize("face", FACES)
@pytest.mark.parametrize("sign", SIGNS)
def test_every_music_sign_has_a_glyph_in_every_face(sign, face):
    assert runs(f"B{sign}", face) == [
        (f"Workbook-Text-{face.capitalize()}", "B"),
        ("Workbook-Signs", sign),
    ]
    assert 0.2 < width(sign, face, 1) < 0.7


def test_latin_text_opens_no_font_of_the_machine(bare):
    text = "Łukasz Đặng Thị Nguyễn, Åse Öğün – “B♭”…"
    assert unprintable(text) == set()
    assert extracted(text).strip() == text


def test_what_no_font_has_is_an_error_and_not_a_box(bare):
    assert unprintable(CYRILLIC) == set(CYRILLIC) - {" "}
    with pytest.raises(Unprintable, match="U\\+0429 CYRILLIC CAPITAL LETTER SHCHA") as caught:
        runs(CYRILLIC)
    assert caught.value.exit_code == 2 and "install a font" in str(caught.value)
    with pytest.raises(Unprintable):
        pdf(CYRILLIC)


@pytest.mark.parametrize("char", ["\ue000", "\ud800", "\U000e0fff", "\x07"])
def test_what_is_no_character_is_unprintable(char):
    assert unprintable(f"Ann {char}") == {char}


@pytest.mark.parametrize(
    "text", ["<b>Ann</b>", "a & b &amp; (c) \\ %s {x}", "x" * 300, "F𝄪 B𝄫 C♯ A♭ E♮"]
)
@pytest.mark.parametrize("face", FACES)
def test_the_pdf_gives_the_text_back(text, face):
    assert extracted(text, face=face).strip() == text


def test_an_emoji_is_printed_or_reported():
    text = "Ann 😀"
    if unprintable(text):
        assert unprintable(text) == {"😀"}
    else:
        assert extracted(text).strip() == text


@printable_here(CYRILLIC)
def test_another_script_is_in_one_font_and_comes_back():
    assert len(runs(CYRILLIC)) == 1
    assert extracted(CYRILLIC).strip() == CYRILLIC


@printable_here("Ελένη")
def test_a_word_is_not_mixed_from_two_fonts():
    assert len(runs("Ελένη")) == 1  # Schola has some of these letters


@printable_here("שלום כהן")
def test_hebrew_comes_back():
    assert extracted("שלום כהן").strip() == "שלום כהן"


@printable_here("محمد")
def test_arabic_comes_back_joined():
    found = extracted("محمد").strip()
    assert found != "محمد" and unicodedata.normalize("NFKC", found) == "محمد"


def test_scripts_that_are_not_shaped_are_told():
    assert unshaped("हिन्दी, Ann") == {"Devanagari"} and unshaped("Ann Оля") == set()


@pytest.mark.parametrize("room", [12, 37.5, 80, 200])
@pytest.mark.parametrize(
    "text",
    [
        "Play the scale of B♭ major with both hands. " * 4,
        "W" * 300,
        "a " * 60,
        "  E\u0301va   x",
        "Donaudampfschiff F𝄪 i",
    ],
)
def test_wrap_stays_within_the_width_and_loses_nothing(text, room):
    lines = wrap(text, "regular", 11, room)
    assert all(width(line, "regular", 11) <= room + 1e-5 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert not any(line.startswith((" ", "\u0301")) or line.endswith(" ") for line in lines)


def test_wrap_keeps_no_break_spaces_and_takes_empty_text():
    assert wrap("", "regular", 10, 50) == [] == wrap("   ", "regular", 10, 50)
    assert wrap("ab bar\u00a01", "regular", 10, width("ab bar", "regular", 10)) == [
        "ab",
        "bar\u00a01",
    ]


@pytest.mark.parametrize("room", [0, 5, 11, 40, 120])
def test_shorten_fits(room):
    short = shorten("Exercise in B♭ major", "bold", 10, room)
    assert width(short, "bold", 10) <= room + 1e-5
    assert short == "" or short == "Exercise in B♭ major" or short.endswith("…")
    assert shorten("Ann", "bold", 10, 100) == "Ann"


def test_clean():
    assert clean(" E\u0301va\u202e\t\n O\u2019Hara\x00\u200b\ufeff\u2066 ") == "Éva O’Hara"
    assert clean("x" * 300) == "x" * 300
    assert clean("\u0645\u06cc\u200c\u0631") == "\u0645\u06cc\u200c\u0631"  # Persian needs it


def test_alignment():
    ends = {}
    for align in ("left", "center", "right"):
        found = []
        PdfReader(io.BytesIO(pdf("Ann", align=align))).pages[0].extract_text(
            visitor_text=lambda text, cm, tm, *_: found.append(tm[4]) if "Ann" in text else None
        )
        (ends[align],) = found
    assert ends["left"] == 40
    assert ends["center"] == pytest.approx(40 - width("Ann") / 2, abs=0.01)
    assert ends["right"] == pytest.approx(40 - width("Ann"), abs=0.01)
    lines = Lines(Canvas(io.BytesIO()))
    with pytest.raises(ValueError, match="not an alignment"):
        lines.draw(0, 0, "Ann", align="justify")
    with pytest.raises(ValueError, match="not a face"):
        lines.draw(0, 0, "Ann", face="heavy")


def test_the_same_text_makes_the_same_bytes():
    assert pdf("Ann B♭ F𝄪", "Łukasz", face="italic") == pdf("Ann B♭ F𝄪", "Łukasz", face="italic")


@pytest.mark.parametrize("face", FACES)
def test_plain_text_is_set_as_the_analysis_would_set_it(face):
    random_ = random.Random(face)
    fonts = faces.text_font(face), faces.sign_font()
    chars = [chr(code) for font in fonts for code in font.face.charToGlyph]
    plain = 0
    for _ in range(3000):
        text = "".join(
            random_.choice(chars if random_.random() < 0.6 else " ♭♯ab\u00a0")
            for _ in range(random_.randrange(12))
        )
        plain += bool(text_runs._plain(face).fullmatch(text))
        assert text_runs._pieces(text, face) == tuple(text_runs._analysed(text, face)), text
    assert 500 < plain < 2900  # both ways were taken


@pytest.mark.parametrize("text", ["", "Łukasz B♭\u00a01", "“F𝄪”", "e\u0301", "μ 1"])
def test_the_width_is_reportlabs(text):
    from reportlab.pdfbase.pdfmetrics import stringWidth

    assert width(text, "bold", 1) == sum(
        stringWidth(chars, name, 1) for name, chars in runs(text, "bold")
    )


@printable_here(CYRILLIC)
def test_more_characters_than_one_subset_holds_come_back():
    latin = [chr(code) for code in sorted(faces.text_font("regular").face.charToGlyph)]
    words = "".join(char for char in latin if char.isalpha() and char < "\u0250")
    pieces = [words[start : start + 40] for start in range(0, len(words), 40)]
    assert len(words) > 256
    found = extracted(*pieces, *pieces)  # written anew, then from what is known
    assert found.split() == [*pieces, *pieces]
