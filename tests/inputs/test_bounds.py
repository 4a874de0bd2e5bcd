"""Large bad inputs are refused soon, in bounded memory, with a sentence."""

import sys
import time
import tracemalloc

import pytest

from workbook.errors import MOST_LISTED, InputError
from workbook.fingering.table import read_entries
from workbook.studio import own_settings
from workbook.studio.roster import read_roster
from workbook.studio.templates import MOST_SECTIONS, available, read_template

HEADER = b"student,template,keys\n"
SECTION = '[[section]]\nfamily = "note-names"\nclefs = "treble"\ncount = 2\npoints = 1\n'
_SLOWER = 4 if "coverage" in sys.modules else 1
"""Counting which lines run takes three times as long."""
SHARE = pytest.mark.parametrize(
    "share", [pytest.param(0.3, id="a third"), pytest.param(1, id="all", marks=pytest.mark.sweep)]
)
"""How much of the largest file: the ordinary run has a third, and less time for it."""


def refused(read, path, share=0.3) -> InputError:
    start = time.process_time()
    with pytest.raises(InputError) as caught:
        read(path)
    assert time.process_time() - start < _SLOWER * (10 if share == 1 else 4)
    return caught.value


@pytest.mark.parametrize(
    "data, told",
    [
        (b"A,first-steps," + b"H major; X;" * 10_000 + b"\n", "write at most 100"),
        (b"A" * 120_000 + b",first-steps,C major\n", "write at most 500"),
        (b"A" * 140_000 + b",first-steps,C major\n", "more than 131,072 characters"),
        (b'"A\n' * 150_000, "quotation mark is not closed"),
        (b"A" * 60_000_000, "larger than 50 MB"),
    ],
    ids=["one cell", "name", "cell", "quotes", "size"],
)
def test_a_large_bad_roster(tmp_path, data, told):
    path = tmp_path / "roster.csv"
    path.write_bytes(HEADER + data)
    assert told in str(refused(read_roster, path))


@SHARE
@pytest.mark.parametrize("row", [b"S%d,first-steps,H%d major\n", b"S%d,first-stepz%d,C major\n"])
def test_a_roster_of_bad_rows(tmp_path, row, share):
    path, count = tmp_path / "roster.csv", int(100_000 * share)
    path.write_bytes(HEADER + b"".join(row % (n, n) for n in range(count)))
    assert f"{count - 50:,} more" in str(refused(read_roster, path, share))


@SHARE
def test_a_roster_of_too_many_rows(tmp_path, share):
    path = tmp_path / "roster.csv"
    path.write_bytes(HEADER + b"A,first-steps,C major\n" * int(1_000_000 * share))
    assert "at most 100,000 rows" in str(refused(read_roster, path, share))


def test_settings_that_no_message_lists_get_no_suggestion(tmp_path, monkeypatch):
    asked = []
    monkeypatch.setattr(own_settings, "did_you_mean", lambda *of: asked.append(of) or "")
    path = tmp_path / "roster.csv"
    path.write_bytes(HEADER[:-1] + b",paper,size\n" + b"S,first-steps,C major,A9z,slarge\n" * 200)
    assert "and 350 more" in str(refused(read_roster, path))
    assert len(asked) == MOST_LISTED


def test_a_hundred_thousand_columns(tmp_path):
    path = tmp_path / "roster.csv"
    path.write_bytes(
        HEADER[:-1] + b"".join(b",c%d" % n for n in range(100_000)) + b"\nA,b,C major\n"
    )
    assert "row 1: has 100,003 headings" in str(refused(read_roster, path))
    path.write_bytes(HEADER[:-1] + b"," * 16_000 + b"\nA,first-steps,C major" + b"," * 16_000)
    assert len(list(read_roster(path))) == 1


@pytest.mark.parametrize("read", [read_template, read_entries])
@pytest.mark.parametrize(
    "text",
    [
        "x = " + "[" * 100_000,
        "x = " + "{a=" * 100_000,
        "a." * 100_000 + "a = 1",
        "title = [" + '"x",' * 100_000 + "]",
        "x = 1 # " + "x" * 2_000_000,
        '[[scale]]\nkeys = ["' + '", "'.join(f"H{n}" for n in range(50_000)) + '"]',
        "".join(f'[[scale]]\nkeys = "H{n}"\n' for n in range(20_000)),
    ],
    ids=["brackets", "braces", "dots", "list", "size", "scale keys", "scales"],
)
def test_a_large_bad_toml_file(tmp_path, read, text):
    path = tmp_path / "mine.toml"
    path.write_text(text, "utf-8")
    assert "mine.toml" in str(refused(read, path))


@SHARE
@pytest.mark.parametrize("read", [read_template, read_entries])
def test_a_toml_file_of_many_keys(tmp_path, read, share):
    path = tmp_path / "mine.toml"
    path.write_text("".join(f"key{n} = 1\n" for n in range(int(50_000 * share))), "utf-8")
    assert "mine.toml" in str(refused(read, path, share))


@SHARE
def test_a_template_of_thousands_of_sections(tmp_path, share):
    path, count = tmp_path / "mine.toml", int(10_000 * share)
    path.write_text('title = "x"\n' + SECTION * count, "utf-8")
    tracemalloc.start()
    error = refused(read_template, path, share)
    assert tracemalloc.get_traced_memory()[1] < 300e6 * share
    tracemalloc.stop()
    assert f"has {count:,} sections; write at most {MOST_SECTIONS}" in str(error)


@pytest.mark.parametrize(
    "line, told",
    [
        ('title = "{}"', "title has 500,000 characters; write at most 500"),
        ('title = "x"\nlevel = "{}"', "level has 500,000 characters; write at most 500"),
        ('title = "x"\ninstructions = "{}"', "500,000 characters; write at most 1,000"),
        ('title = "x"\nkeys = "{}"', "500,000 characters; write at most 2,000"),
    ],
)
def test_a_template_with_a_long_text(tmp_path, line, told):
    path = tmp_path / "mine.toml"
    path.write_text(line.format("word " * 100_000) + "\n" + SECTION, "utf-8")
    assert told in str(refused(read_template, path))


def test_a_template_of_too_many_exercises(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text('title = "x"\n' + SECTION.replace("2", "200") * 11, "utf-8")
    assert "has 2,200 exercises in all; write at most 2,000" in str(refused(read_template, path))


@pytest.mark.parametrize(
    "text, told",
    [
        ("# nothing yet\n", "contains only comments; write for example a [[scale]]"),
        ("[[scale]]\nkeys = []\nright = '212312341231234'\n", "keys is an empty list"),
        ("[[seventh]]\nkind = 'dominant'\nroots = []\nright = '123412345'\n", "roots is an empty"),
        (
            "[[seventh]]\nkind = 'diminished'\nroots = ['G9']\nright = '123412345'\n",
            '"G9" is not a note',
        ),
    ],
)
def test_a_fingering_file_that_says_nothing(tmp_path, text, told):
    path = tmp_path / "mine.toml"
    path.write_text(text, "utf-8")
    assert told in str(refused(read_entries, path))


def test_keys_as_a_list_in_a_template(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text('title = "x"\nkeys = []\n' + SECTION, "utf-8")
    assert 'line 2: keys is []; write them in one text, as in "C major' in str(
        refused(read_template, path)
    )


def test_characters_that_no_font_has_are_told_with_file_and_line(tmp_path):
    from workbook.typesetting.runs import unprintable

    folder = tmp_path / "mine"
    folder.mkdir()
    (folder / "mine.toml").write_text(
        'title = "A \ue000"\ninstructions = "\ue001"\nlevel = "\ue002"\n'
        + SECTION
        + 'title = "\ue003"\nunknown = 1\n',
        "utf-8",
    )
    roster = tmp_path / "roster.csv"
    roster.write_text("student,template,keys\nA\ue004,mine,H major\n", "utf-8")
    with pytest.raises(InputError) as caught:
        read_roster(roster, folder, unprintable=unprintable)
    lines = str(caught.value).split("\n")
    for start, sign in (
        ("roster.csv, row 2: no font on this computer has", "name: U+E004"),
        ("mine.toml, line 1: no font on this computer has", "title: U+E000"),
        ("mine.toml, line 2: no font", "instructions: U+E001"),
        ("mine.toml, line 3: no font", "level: U+E002"),
        ("mine.toml, line 9: no font", "title: U+E003"),
        ("mine.toml, line 10: unknown key", '"unknown"'),
        ("roster.csv, row 2: ", '"H major" is not a key'),
    ):
        assert any(line.startswith(start) and sign in line for line in lines), (start, lines)


def test_a_template_that_is_a_folder(tmp_path):
    (tmp_path / "mine.toml").mkdir()
    error = refused(read_template, available(tmp_path)["mine"])
    assert str(error) == "mine.toml: cannot be read: it is a folder, not a file"
