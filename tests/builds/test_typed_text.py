"""Whatever a teacher types into any field: the build works and the PDF says it, or the problem
is told with its row. PDF, LilyPond, HTML and CSV syntax, controls, and far too much."""

import json
import unicodedata
from io import BytesIO

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from workbook import build
from workbook.errors import CheckFailed, InputError
from workbook.pages import render
from workbook.pages.elements import Page, Text
from workbook.pdf.content import read_pages
from workbook.typesetting import text
from workbook.typesetting.runs import unprintable

SYNTAX = (
    "/Kids [1 0 R] /Type /Pages",
    ") Tj ET endstream endobj",
    "(((",
    "\\",
    "\\)",
    "<< /S /JavaScript /JS (x) >>",
    "%%EOF",
    "trailer << /Root 1 0 R >>",
    "startxref 0",
    "\\include #(system)",
    '"} \\score { c',
    "#(exit 1)",
    "<script>alert(1)</script>",
    "&amp;<b>",
    '=1+1;x,"y"',
    "1 0 obj stream",
)
TOLD = ("Ada\ud800", "Ada\x07", "\U000e0001")
WORDS = st.one_of(
    st.sampled_from(SYNTAX),
    st.lists(st.sampled_from(SYNTAX), min_size=1, max_size=3).map(" ".join),
    st.text("()<>[]{}/%\\#\"'&;=,.- R0123endobjstream", min_size=1, max_size=40),
    st.text(st.characters(max_codepoint=0x24F), min_size=1, max_size=30),
)
TEMPLATE = """title = {0}
instructions = {0}
level = {0}
[[section]]
title = {0}
family = "inversions"
hands = "right"
count = 1
points = 5
"""


def built(words, folder, template="typed"):
    """A workbook with ``words`` in every field; its title, or the problems."""
    folder.mkdir(exist_ok=True)
    quoted = json.dumps(words, ensure_ascii=False)
    (folder / "typed.toml").write_text(TEMPLATE.format(quoted), "utf-8")
    row = {"student": words, "template": template, "keys": "C major", "title": words}
    return build([row], folder / "out", template_dir=folder)[0]


@pytest.mark.parametrize("words", ["/Kids [1 0 R] /Type /Pages", " ".join(SYNTAX)])
def test_syntax_in_every_field_is_read_back_as_typed(words, tmp_path):
    one = built(words, tmp_path)
    assert one.student == words
    for name in ("workbook.pdf", "answer-key.pdf", "answers.pdf"):
        reader = PdfReader(one.folder / name, strict=True)
        assert reader.metadata.author == words
        assert words in reader.metadata.title and len(reader.pages) == len(
            read_pages((one.folder / name).read_bytes())
        )
    assert json.loads((one.folder / "key.json").read_text("utf-8"))["student"] == words


def test_text_that_has_no_room_on_the_page_is_told_and_nothing_is_written(tmp_path):
    (tmp_path / "typed.toml").write_text(TEMPLATE.format('"Words"'), "utf-8")
    row = {"student": "Ada", "template": "typed", "keys": "C major", "title": "word " * 100}
    with pytest.raises(CheckFailed, match="is not on the page.*; shorten the title"):
        build([row], tmp_path / "out", template_dir=tmp_path, size="large", paper="half-letter")
    assert not (tmp_path / "out").exists()
    assert build([row], tmp_path / "out", template_dir=tmp_path)


def test_a_title_without_width_is_a_title(tmp_path):
    row = {"student": "Ada", "template": "first-steps", "keys": "C major", "title": "\u200d"}
    assert build([row], tmp_path / "out")


@given(WORDS)
@example("/Kids [1 0 R] /Type /Pages")
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
def test_any_text_on_a_page_and_in_its_title_is_read_back(words):
    """Drawn, and named as title and author, with nothing else changed in the file."""
    shown = text.clean(words)
    if not shown or unprintable(shown):
        return
    page = Page([Text(50, 50, shown, "regular", 10)])
    data = render.render([page], render.WORKBOOK, (612, 792), shown, shown)
    reader = PdfReader(BytesIO(data), strict=True)
    assert len(reader.pages) == 1
    assert reader.metadata.title == shown and reader.metadata.author == shown
    drawn = "".join(words.text for words in read_pages(data)[0].words)
    assert "".join(drawn.split()) == "".join(shown.split())


@pytest.mark.parametrize(
    "words",
    [
        "Ada\ud800",
        "Ada\x07",
        "Ada\u202eeda",
        "a" + "\u0301" * 3000,
        "x" * 10_000,
        "word " * 2_000,
        "\U000e0001",
    ],
    ids=["surrogate", "bell", "override", "marks", "long", "words", "tag"],
)
def test_what_cannot_be_set_is_told_with_its_row(words, tmp_path):
    row = {"student": words, "template": "level-01", "keys": "C major"}
    if words in TOLD or len(words) > 500:
        with pytest.raises(InputError, match="roster, row 2: student"):
            build([row], tmp_path / "out")
        assert not (tmp_path / "out").exists()
    else:
        one = build([row], tmp_path / "out")[0]
        author = PdfReader(one.folder / "workbook.pdf", strict=True).metadata.author
        assert unicodedata.normalize("NFC", author) == unicodedata.normalize("NFC", one.student)
