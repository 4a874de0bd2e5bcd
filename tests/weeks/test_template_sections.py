"""Sections added, taken out and moved: all other lines of a template stay, comments too."""

from __future__ import annotations

import tomllib

import pytest

from tests.weeks.test_studio import run
from workbook.errors import InputError
from workbook.exercises.families import FAMILIES
from workbook.studio.templates import available
from workbook.weeks import template_sections as sections
from workbook.weeks.template_edits import read

TEXT = available()["first-steps"].read_text("utf-8")
SMALL = (
    '# mine\ntitle = "Small"\n\n[[section]]\nfamily = "arpeggio"\ncount = 1\npoints = 1\n'
    '# the second\n# of two\n[[section]]  # here\nfamily = "inversions"\ncount = 2\npoints = 1'
)


def families(text):
    return [one["family"] for one in tomllib.loads(text)["section"]]


def test_a_section_moves_with_its_comments_and_lines():
    moved = sections.moved("small", SMALL, 1, 0)
    assert moved == (
        '# mine\ntitle = "Small"\n\n'
        '# the second\n# of two\n[[section]]  # here\nfamily = "inversions"\ncount = 2\n'
        'points = 1\n\n[[section]]\nfamily = "arpeggio"\ncount = 1\npoints = 1\n'
    )
    there = sections.moved("first-steps", TEXT, 0, 3)
    assert sorted(there.split("\n")) == sorted(TEXT.split("\n"))
    assert sections.moved("first-steps", there, 3, 0) == TEXT
    assert sections.moved("first-steps", TEXT, 2, 2) == TEXT


def test_a_section_is_taken_out_and_nothing_else():
    left = sections.removed("small", SMALL, 0)
    assert (
        left
        == SMALL.replace('[[section]]\nfamily = "arpeggio"\ncount = 1\npoints = 1\n', "") + "\n"
    )
    assert families(sections.removed("first-steps", TEXT, 1)) == [
        name for number, name in enumerate(families(TEXT)) if number != 1
    ]
    with pytest.raises(InputError, match="would have no section left"):
        sections.removed("small", left, 0)


@pytest.mark.parametrize("family", FAMILIES)
def test_any_family_can_be_added(family):
    text = sections.added("first-steps", TEXT, family, 1)
    assert read("first-steps", text).sections[1].family == family
    assert sections.removed("first-steps", text, 1) == TEXT


def test_line_ends_stay_as_they_are():
    windows = SMALL.replace("\n", "\r\n")
    changed = sections.added("small", sections.moved("small", windows, 0, 1), "arpeggio", 2)
    assert "\n" not in changed.replace("\r\n", "") and families(changed)[-1] == "arpeggio"


@pytest.mark.parametrize(
    "text",
    [
        'title = "x"\nsection = [{family = "arpeggio", count = 1, points = 1}]\n',
        SMALL + '\n[more]\nfor = "all"\n',
        SMALL + '\ntitle = """\n[[section]]\n"""\n',
    ],
)
def test_a_file_that_is_written_otherwise_is_left_to_an_editor(text):
    with pytest.raises(InputError, match="in an editor"):
        sections.removed("odd", text, 1)


@pytest.mark.parametrize(
    "sections",
    ['[{family = "arpeggio", count = 1, points = 1, hands = "right"}]', "3", "{}", "[1, 2]"],
)
def test_sections_without_lines_of_their_own_are_told(tmp_path, sections):
    file = tmp_path / "odd.toml"
    file.write_text(f'title = "x"\nsection = {sections}\n', "utf-8")
    before = file.read_bytes()
    for words in (("add", file, "arpeggio"), ("remove", file, 1), ("move", file, 1, 1)):
        said = run("templates", *words, code=2)
        assert "odd.toml: its sections do not each begin with a line [[section]]" in said
    assert file.read_bytes() == before and len(list(tmp_path.iterdir())) == 1


@pytest.mark.parametrize("place", [-1, 2])
def test_places_that_are_not_there_are_told(place):
    for change in (
        lambda: sections.removed("small", SMALL, place),
        lambda: sections.moved("small", SMALL, 0, place),
        lambda: sections.moved("small", SMALL, place, 0),
        lambda: sections.added("small", SMALL, "arpeggio", place + (place > 0)),
    ):
        with pytest.raises(InputError, match="there is no section"):
            change()


def test_title_and_instructions_change_and_nothing_else():
    new = sections.headed("small", SMALL, "Spring", 'Say "it".\nWrite it.')
    assert tomllib.loads(new) == {
        **tomllib.loads(SMALL),
        "title": "Spring",
        "instructions": 'Say "it".\n\nWrite it.',
    }
    written = sections.headed("first-steps", TEXT, None, 'Say "it".\nWrite it.')
    assert read("first-steps", written).instructions == 'Say "it".\nWrite it.'
    assert {line for line in SMALL.splitlines() if "#" in line} <= set(new.splitlines())
    without = sections.headed("small", new, None, "")
    assert without.rstrip() == sections.headed("small", SMALL, "Spring")
    assert sections.headed("small", SMALL, None) == SMALL


@pytest.mark.parametrize("level", ["level-03", "level-10"])
def test_lines_that_a_head_does_not_change_stay(level):
    text = available()[level].read_text("utf-8")
    new = sections.headed(level, text, "Spring", "Look twice.")
    changed = [(a, b) for a, b in zip(text.splitlines(), new.splitlines(), strict=True) if a != b]
    assert [line for _, line in changed] == ['title = "Spring"', 'instructions = "Look twice."']


def test_the_commands_do_it(tmp_path):
    file = tmp_path / "spring.toml"
    run("templates", "copy", "first-steps", file, "--title", "Spring “one”")
    assert tomllib.loads(file.read_text("utf-8"))["title"] == "Spring “one”"
    before = families(file.read_text("utf-8"))
    said = run("templates", "add", file, "arpeggio")
    assert families(file.read_text("utf-8")) == [*before, "arpeggio"]
    assert said.splitlines()[-1].startswith(f"{len(before) + 1}. Arpeggio")
    run("templates", "move", file, len(before) + 1, 1)
    assert families(file.read_text("utf-8")) == ["arpeggio", *before]
    run("templates", "remove", file, 1)
    run("templates", "add", file, "inversions", "--at", 2)
    assert families(file.read_text("utf-8")) == [before[0], "inversions", *before[1:]]
    text = file.read_bytes()
    assert "did you mean" in run("templates", "add", file, "arpegio", code=2)
    run("templates", "remove", file, 99, code=2)
    assert file.read_bytes() == text


@pytest.mark.parametrize(
    "words",
    [("add", "arpeggio"), ("remove", 1), ("move", 1, 2), ("set", "--title", "Spring")],
    ids=lambda words: words[0],
)
def test_a_template_behind_a_link_is_changed_where_it_is(tmp_path, words):
    kept = tmp_path / "kept"
    kept.mkdir()
    (kept / "small.toml").write_text(TEXT, "utf-8")
    link = tmp_path / "spring.toml"
    link.symlink_to("kept/small.toml")
    run("templates", words[0], link, *words[1:])
    assert link.is_symlink() and (kept / "small.toml").read_text("utf-8") != TEXT
    assert [path.name for path in kept.iterdir()] == ["small.toml"]


PLAYED = SMALL.replace('"arpeggio"', '"arpeggio"\nhands = "left"').replace(
    '"inversions"', '"inversions"\nhands = "left"'
)


def test_the_command_sets_a_section(tmp_path):
    file = tmp_path / "small.toml"
    file.write_text(PLAYED, "utf-8")
    run("templates", "set", file, "--section", 1, "octaves=2", "octaves=1", "example=true")
    assert file.read_text("utf-8") == PLAYED.replace(
        "# the second", "octaves = [2, 1]\nexample = true\n# the second"
    )
    run("templates", "set", file, "--title", "New", "--section", 1, "octaves=", "example=")
    assert file.read_text("utf-8") == PLAYED.replace("Small", "New")


@pytest.mark.parametrize(
    "given, code, told",
    [
        (["--section", 1, "example=maybe", "hand=x", "count=1", "count=2"], 2, "example"),
        (["--section", 1, "octaves=x"], 2, "octaves"),
        (["--section", 3, "count=1"], 2, "there is no section 3"),
        (["--section", 1], 2, "KEY=VALUE"),
        (["count=1"], 2, "--section"),
        (["--section", 1, "count"], 2, "count=4"),
        (["--section", 1, "=4"], 2, "count=4"),
        (["--title", "New", "--section", 1, "count=many"], 2, "count"),
        ([], 2, "say what to change"),
    ],
)
def test_what_a_section_cannot_have_is_told_and_nothing_is_written(tmp_path, given, code, told):
    file = tmp_path / "small.toml"
    file.write_text(PLAYED, "utf-8")
    said = run("templates", "set", file, *given, code=code)
    assert told in said
    if "hand=x" in given:
        assert "3 problems" in said
    assert file.read_text("utf-8") == PLAYED
