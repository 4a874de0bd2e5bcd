"""Page text: every character has a font, lines fit, and the PDF gives the text back.

Source: advances are compared with the OpenType fonts of the LilyPond wheel,
code points of the music signs with the Unicode chart "Musical Symbols".
"""

import importlib.metadata
import io
import unicodedata

import pytest
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from workbook.typesetting import direction
from workbook.typesetting import text as page_text
from workbook.typesetting.fonts import convert, system
from workbook.typesetting.text import (
    FACES,
    Lines,
    Unprintable,
    clean,
    runs,
    shorten,
    unprintable,
    unshaped,
    width,
    wrap,
)

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
    caches = (page_text._font_for, page_text._word_font, page_text._pieces, page_text._unit_width)
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


@pytest.mark.parametrize(
    "logical, drawn",
    [
        ("Ann Lee", "Ann Lee"),
        ("אב גד", "דג בא"),
        ("for: אב 12", "for: 12 בא"),
        ("אב (12) abc", "abc (12) בא"),
        ("\u0628\u0628\u0628", "\ufe90\ufe92\ufe91"),  # beh: final, medial, initial from the left
        ("\u0644\u0627", "\ufefb"),  # lam and alef are one sign
        ("\u0627\u0628", "\ufe8f\ufe8d"),
    ],
)  # alef holds out no stroke
def test_right_to_left(logical, drawn):
    assert direction.visual(logical) == drawn


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
    with pytest.raises(ValueError, match="no alignment"):
        lines.draw(0, 0, "Ann", align="justify")
    with pytest.raises(ValueError, match="no face"):
        lines.draw(0, 0, "Ann", face="heavy")


def test_the_same_text_makes_the_same_bytes():
    assert pdf("Ann B♭ F𝄪", "Łukasz", face="italic") == pdf("Ann B♭ F𝄪", "Łukasz", face="italic")


# The shipped files against their sources.


def sources():
    pytest.importorskip("fontTools")
    return convert.source() or pytest.skip("no lilypond wheel here")


@pytest.mark.parametrize("face", FACES)
def test_schola_advances_are_those_of_the_opentype_font(face):
    folder = sources()
    from fontTools.ttLib import TTFont

    font = TTFont(folder / convert.FILES[f"workbook-text-{face}.ttf"][0])
    cmap, metrics = font.getBestCmap(), font["hmtx"].metrics
    for char in map(chr, cmap):
        if char.isalnum():
            advance = metrics[cmap[ord(char)]][0]
            name = f"Workbook-Text-{face.capitalize()}"
            assert page_text._shipped(name).face.getCharWidth(ord(char)) == advance, char


@pytest.mark.parametrize("file", convert.FILES)
def test_the_files_are_what_convert_makes(file):
    folder = sources()
    here = {name: importlib.metadata.version(name) for name in convert.MADE_WITH}
    if here != convert.MADE_WITH:
        pytest.skip(f"made with {convert.MADE_WITH}, here {here}")
    assert convert.convert(file, folder) == (convert.HERE / file).read_bytes()


@pytest.mark.parametrize("file", convert.FILES)
def test_the_names_are_our_own(file):
    ttlib = pytest.importorskip("fontTools.ttLib")
    names = ttlib.TTFont(convert.HERE / file)["name"]
    for number in (1, 3, 4, 6):
        assert names.getDebugName(number).replace("1.0;", "").startswith("Workbook")
    assert "under the" in names.getDebugName(0)
