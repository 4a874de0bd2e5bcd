"""The fonts in a PDF, read back by another library.

Source of the rules: ISO 14289-1, 7.21.7 (what a font's characters mean), from memory.
"""

import io
import re

import pikepdf
import pypdfium2
import pytest

from workbook.pages.document import empty_canvas, finished
from workbook.pdf.structure import Structure
from workbook.typesetting.fonts.embedded import USUAL
from workbook.typesetting.fonts.faces import FACES, text_font
from workbook.typesetting.lines import Lines

_PAIR = re.compile(rb"<([0-9A-F]{2})> <([0-9A-F]+)>\n")


def drawn(*texts, face="regular"):
    """A page with a line for each text."""
    canvas, structure = empty_canvas((400, 400), "Title", "Author", "Subject"), Structure()
    structure.page()
    lines = Lines(canvas)
    lines.begin("/Artifact BMC")
    for index, text in enumerate(texts):
        lines.draw(20, 380 - 20 * index, text, face)
    lines.end()
    lines.finish()
    canvas.showPage()
    return finished(canvas, structure)


def fonts(data):
    """The fonts of a file by their names on the page: the font's name, its file, its characters."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        found = {}
        for name, font in pdf.pages[0].Resources.Font.items():
            table = font.ToUnicode.read_bytes().partition(b"beginbfchar")[2]
            chars = {
                int(code, 16): bytes.fromhex(text.decode()).decode("utf-16-be")
                for code, text in _PAIR.findall(table)
            }
            file = font.FontDescriptor.FontFile2.read_bytes()
            found[name] = str(font.BaseFont), file, chars
        return found


def read(data):
    with pypdfium2.PdfDocument(data) as pdf:
        return pdf[0].get_textpage().get_text_range().split("\r\n")


@pytest.mark.parametrize("face", FACES)
def test_usual_text_has_one_subset_in_all_documents(face):
    one, other = drawn("Quick, brown", face=face), drawn("42 lazy dogs (and a fox)", face=face)
    assert fonts(one) == fonts(other)
    ((_, _, chars),) = fonts(one).values()
    assert set(USUAL) <= set(chars.values()) and chars[ord("A")] == "A"


def test_other_characters_are_in_a_subset_of_their_own():
    texts = ["Zoë Ångström", "Ж and Δ", "plain"]
    made, plain = fonts(drawn(*texts)), fonts(drawn("plain"))
    assert plain.items() <= made.items() and len(made) > len(plain)
    assert read(drawn(*texts)) == texts
    names = [name for name, _, _ in made.values()]
    assert len(set(names)) == len(names)


def test_no_code_means_nothing():
    for _, _, chars in fonts(drawn("Zoë ♭ ♯ 𝄪", "V7°")).values():
        assert not {"\0", "\ufeff", "\ufffe"} & set("".join(chars.values()))


def test_many_characters_take_several_subsets():
    has = text_font("regular").has
    text = [chr(code) for code in (*range(0xC0, 0x24F), *range(0x1E00, 0x1EFF)) if has(chr(code))]
    assert len(text) > 300
    lines = ["".join(text[start : start + 30]) for start in range(0, len(text), 30)]
    assert read(drawn(*lines)) == lines
