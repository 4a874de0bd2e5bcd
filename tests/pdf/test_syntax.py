"""PDF objects as text: read back by two other libraries."""

import io

import pikepdf
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from pypdf.generic import TextStringObject

from workbook.pdf import syntax

MARKS = ("þÿ", "ÿþ", "ï»¿")  # the byte order marks of UTF-16 and UTF-8 in PDFDocEncoding


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=40))
@example("\x7f")
@example("þÿ")
@example("ÿþa")
@example("ï»¿a")
def test_text_strings_say_what_was_meant(words):
    written = syntax.text_string(words)
    assert str(pikepdf.Object.parse(written)) == words
    if words.startswith(MARKS):
        return  # pypdf does not escape these
    theirs = io.BytesIO()
    TextStringObject(words).write_to_stream(theirs)
    assert str(pikepdf.Object.parse(theirs.getvalue())) == words


@pytest.mark.parametrize("value, text", [(0, b"0"), (-0.0, b"0"), (612.0, b"612"), (1e-7, b"0")])
def test_numbers(value, text):
    assert syntax.number(value) == text


@given(st.floats(-1e6, 1e6))
def test_numbers_are_right_to_a_millionth(value):
    assert float(syntax.number(value)) == pytest.approx(value, abs=1e-6)


def test_containers():
    made = syntax.dictionary(
        {"A": syntax.array([b"1", b"/N"]), "B": syntax.dictionary({}), "C": syntax.text_string("(")}
    )
    made = syntax.with_entries(made, {"D": syntax.rectangle(0, 0, 1, 2.5)})
    assert pikepdf.Object.parse(made) == pikepdf.Dictionary(
        A=[1, pikepdf.Name.N], B=pikepdf.Dictionary(), C=pikepdf.String("("), D=[0, 0, 1, 2.5]
    )


@pytest.mark.parametrize(
    "text, changed",
    [
        (b"[ 1 0 R 12 3 R ]", b"[ 101 0 R 112 0 R ]"),
        (b"[ 7 12 0 R 5 ]", b"[ 7 112 0 R 5 ]"),
        (b"<</F1+0 5 0 R/G2 6 0 R>>", b"<</F1+0 105 0 R/G2 106 0 R>>"),
        (b"[ 1 0 0 1 0 0 ]", b"[ 1 0 0 1 0 0 ]"),
        (rb"[ (\( 1 0 R \\) 1 0 R (\)2 0 R) ]", rb"[ (\( 1 0 R \\) 101 0 R (\)2 0 R) ]"),
        (b"<< /A\n1\n0\nR >>", b"<< /A\n101 0 R >>"),
    ],
)
def test_references_change_and_words_like_them_do_not(text, changed):
    assert syntax.renumbered(text, syntax.References(lambda key: key[0] + 100)) == changed
