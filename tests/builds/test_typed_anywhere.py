"""A whole build and its check, with hostile text in any field of roster and template at once.

The syntax of PDF, LilyPond, HTML, CSV and shells, controls, lone surrogates, right-to-left and
overriding marks, and texts that are far too long. Either the build works and everything shows
what was typed, or one message says where the problem is.
"""

from __future__ import annotations

import csv
import io
import json
import re
import tempfile
from contextlib import chdir
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import example, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from tests.faults.hostile import CHARACTERS, SYNTAX, WORDS
from tests.formulas import FORMULA, starts
from workbook import build, cli
from workbook.errors import CheckFailed, ExitCode, InputError
from workbook.inputs.messages import fold
from workbook.studio.roster import COLUMNS

ROW = COLUMNS
PLAIN = {"student": "Ada", "template": "typed", "keys": "C major", "title": "Spring", "seed": "1"}
"""What is in the fields of a row if nothing hostile is; settings of its own are left empty."""
TEMPLATE = """title = {title}
instructions = {instructions}
level = {level}
[[section]]
title = {section}
family = "inversions"
hands = "right"
count = 1
points = 5
"""
OTHER = ("own title", "instructions", "level", "section")
"""Fields of the template."""
ALIEN = re.compile(r"Traceback|\w+Error\b|Exception|codec|surrogate|NoneType|invalid literal")
"""Words of Python, none of which is in the texts."""
MOST_SAID = 8_000
"""Characters of a message about one row and one template."""

CHARACTER = st.one_of(
    *(st.characters(min_codepoint=low, max_codepoint=high) for low, high in CHARACTERS)
)
TYPED = st.one_of(
    st.sampled_from((*SYNTAX, *WORDS)),
    st.lists(st.sampled_from((*SYNTAX, *WORDS, " ", "\n")), min_size=2, max_size=4).map("".join),
    st.text(CHARACTER, max_size=20),
    st.text(st.characters(), max_size=20),
    st.sampled_from(("\ud800", "Ada\udcff", "\x00", "Ada\x07", "\x7f", "\x85")),
    st.sampled_from(("אבג Ada 12", "\u202eeda", "\u2067(Ada", "\u200f", "مرحبا\u0301")),
    st.tuples(
        st.sampled_from(("x", "word ", "é\u0301", "\u05d0", "(", "\\", "=")), st.integers(1, 4)
    ).map(lambda pair: pair[0] * 10 ** pair[1]),
)
FIELDS = st.fixed_dictionaries({}, optional=dict.fromkeys((*ROW, *OTHER), TYPED))
"""What is typed into some of the fields."""


@given(FIELDS, st.booleans())
@example({"student": "x;=1+1", "title": "\uff1d1+1"}, True)
@settings(max_examples=12, deadline=None)
def test_some_hostile_text(typed, by_file):
    built_and_checked(typed, by_file)


@pytest.mark.faults
@given(FIELDS, st.booleans())
@settings(max_examples=500, deadline=None)
def test_much_hostile_text(typed, by_file):
    built_and_checked(typed, by_file)


@pytest.mark.faults
@pytest.mark.parametrize("words", SYNTAX)
def test_each_syntax_in_every_field(words):
    built_and_checked(dict.fromkeys(("student", "title", "seed", *OTHER), words), True)


def built_and_checked(typed: dict[str, str], by_file: bool) -> None:
    with tempfile.TemporaryDirectory() as place, chdir(place):
        folder = Path(place)
        row = {field: typed.get(field, PLAIN.get(field, "")) for field in ROW}
        write(folder, row, typed)
        before = snapshot(folder)
        code, said = from_file() if by_file else from_program(row)
        assert code in (ExitCode.DONE, ExitCode.BAD_INPUT, ExitCode.CHECK_FAILED), said
        if code:
            told(said)
            assert code != ExitCode.CHECK_FAILED or "no room for so much text" in said, said
            assert snapshot(folder) == before
        else:
            sound(folder, row)
        assert not list(folder.rglob("pwned"))


def write(folder: Path, row: dict[str, str], typed: dict[str, str]) -> None:
    """A roster and a template with the texts, quoted as their syntax has it."""
    table = io.StringIO(newline="")
    csv.writer(table).writerows((ROW, row.values()))
    (folder / "roster.csv").write_bytes(table.getvalue().encode("utf-8", "surrogatepass"))
    names = ("title", "instructions", "level", "section")
    values = (json.dumps(typed.get(at, "Words"), ensure_ascii=False) for at in OTHER)
    text = TEMPLATE.format(**dict(zip(names, values)))
    (folder / "mine").mkdir()
    (folder / "mine" / "typed.toml").write_bytes(text.encode("utf-8", "surrogatepass"))


def from_file() -> tuple[int, str]:
    words = ("build", "roster.csv", "--out", "out", "--template-dir", "mine")
    done = CliRunner().invoke(cli.main, words, catch_exceptions=False)
    return done.exit_code, done.output


def from_program(row: dict[str, str]) -> tuple[int, str]:
    try:
        build([row], "out", template_dir="mine")
    except (CheckFailed, InputError) as error:
        return error.exit_code, str(error)
    return 0, ""


def told(said: str) -> None:
    """A message that can be printed, is not long, and names the file."""
    assert all(line.isprintable() for line in said.splitlines()), ascii(said)
    assert len(said) < MOST_SAID and not ALIEN.search(said), ascii(said[:MOST_SAID])
    place = r"roster(\.csv)?(, row \d)?: |typed\.toml(, line \d+)?: |\.pdf, page \d: "
    assert re.search(place, said), ascii(said)


def sound(folder: Path, row: dict[str, str]) -> None:
    """What was built passes the check, is where it belongs, and says what was typed."""
    checked = CliRunner().invoke(cli.main, ("check", "out"), catch_exceptions=False)
    assert checked.exit_code == 0, checked.output
    out = folder / "out"
    (book,) = (path.parent for path in out.rglob("key.json"))
    assert book.parent.resolve() == out.resolve()
    record = json.loads((book / "key.json").read_text("utf-8"))
    assert record["student"] == fold(row["student"])
    for name in ("workbook.pdf", "answer-key.pdf", "answers.pdf"):
        reader = PdfReader(book / name, strict=True)
        assert reader.metadata.author == record["student"] and len(reader.pages)
        assert record["title"] in reader.metadata.title
        assert not {"/OpenAction", "/AA", "/Names", "/AcroForm"} & reader.root_object.keys()
    table = (out / "mark-sheet.csv").read_text("utf-8-sig")
    for separator in ",;\t|":
        for cells in csv.reader(io.StringIO(table, newline=""), delimiter=separator):
            assert not starts(cells) & set(FORMULA), table


def snapshot(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
