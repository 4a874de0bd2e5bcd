"""Reading rosters: every way a spreadsheet writes them, and every kind of mistake."""

import codecs
import random

import pytest

from workbook.errors import InputError
from workbook.resources import shipped
from workbook.studio.own_settings import OwnSettings
from workbook.studio.roster import read_roster

HEADER = "student,template,keys,title,seed\n"
GOOD = HEADER + 'Zoë Vantongeren,first-steps,"C major; A minor",Spring,7\n'


def write(folder, text, name="roster.csv"):
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def problems(path, *more):
    with pytest.raises(InputError) as caught:
        read_roster(path, *more)
    return [str(p) for p in caught.value.problems]


@pytest.mark.parametrize(
    "raw",
    [
        GOOD.encode(),
        GOOD.encode("utf-8-sig"),
        GOOD.encode("utf-16"),
        codecs.BOM_UTF16_BE + GOOD.encode("utf-16-be"),
        GOOD.replace("\n", "\r\n").encode(),
        GOOD.replace("\n", "\r").encode(),
        GOOD.replace(",", ";").encode(),
        GOOD.replace(",", "\t").encode("utf-16"),
        GOOD.rstrip().encode(),
        GOOD.replace("ë", "e\u0308").encode(),
        GOOD.replace("student,", " STUDENT ,").replace("Zoë ", "  Zoë \u00a0 ").encode(),
        GOOD.replace(",7\n", ",7,,,\n").encode(),
    ],
)
def test_as_any_spreadsheet_saves_it(tmp_path, raw):
    (row,) = read_roster(write(tmp_path, raw))
    assert (row.student, row.template.name) == ("Zoë Vantongeren", "first-steps")
    assert [key.ascii for key in row.keys] == ["C major", "A minor"]
    assert (row.title, row.seed, row.number) == ("Spring", "7", 2)


def test_optional_columns_and_order(tmp_path):
    (row,) = read_roster(write(tmp_path, "Keys;Template;Student\nBb major;First-Steps;Bo\n"))
    assert (row.student, row.template.name, row.title, row.seed) == ("Bo", "first-steps", "", None)


def test_rows_are_numbered_as_the_spreadsheet_does(tmp_path):
    text = (
        'student,template,keys,title\n\nBo,first-steps,C major,"two\nlines"\n,,,\n'
        "Li,first-steps,G major,\n"
    )
    rows = read_roster(write(tmp_path, text))
    assert [(row.student, row.title, row.number) for row in rows] == [
        ("Bo", "two lines", 3),
        ("Li", "", 5),
    ]


@pytest.mark.parametrize(
    "name",
    [
        "../../etc/x",
        "<b>Ann</b>",
        '#(system "id")',
        "x" * 300,
        "CON",
        "王小明",
        "O'Dell, Jr.",
        "=1+1",
        "🎹",
        "नेहा",
        "-rf",
        "Ann & Bo \\ {}$%",
    ],
)
def test_names_are_kept_as_written(tmp_path, name):
    quoted = '"' + name.replace('"', '""') + '"'
    (row,) = read_roster(write(tmp_path, HEADER + f"{quoted},first-steps,C major,,\n"))
    assert row.student == name


BAD_TEMPLATE = 'title = "x"\n[[section]]\nfamily = "intervalls"\n'
BAD = """\
student,template,keys,title,seed
,first-steps,C major,,
\u200b,first-steps,C major,,
Bo,furst-steps,C major,,
Li,,C major,,
Ann,first-steps,H major; Q,,
Ed,first-steps,,,
Flo,first-steps,C major, D major,,,,E major
"Gus" Lee,first-steps,C major,,
Hal,broken,C major,,
Ida,broken,C major,,
Jo\x07,first-steps,C major,,
Kim
Lou,first-steps,C major,,
Moe,level-1,,,
"""


def test_everything_wrong_is_said_at_once(tmp_path):
    write(tmp_path, BAD_TEMPLATE, "broken.toml")
    found = problems(write(tmp_path, BAD), tmp_path)
    expected = [
        ("roster.csv, row 2", "student is empty"),
        ("roster.csv, row 3", "student is empty"),
        ("roster.csv, row 4", 'did you mean "first-steps"? (the templates are broken, '),
        ("roster.csv, row 5", "no template is named; write one of broken, "),
        ("roster.csv, row 6", 'did you mean "B major"?'),
        ("roster.csv, row 6", '"Q" is not a key'),
        ("roster.csv, row 7", "no key is given"),
        ("roster.csv, row 8", "8 cells under 5 headings"),
        ("roster.csv, row 9", "quotation mark"),
        ("roster.csv, row 12", "control character"),
        ("roster.csv, row 13", "no template is named"),
        ("roster.csv, row 13", "no key is given"),
        ("roster.csv, row 15", 'there is no template "level-1"'),
        ("broken.toml, line 2", '"hands" is missing'),
        ("broken.toml, line 2", '"count" is missing'),
        ("broken.toml, line 2", '"points" is missing'),
        ("broken.toml, line 3", 'did you mean "intervals"?'),
    ]
    assert len(found) == len(expected), found
    for text, (place, words) in zip(found, expected):
        assert text.startswith(place + ":") and words in text


LETTERS = '"english", "german", "italian", "french" or "spanish"'


def test_settings_of_a_row_are_checked_and_notes_are_not_read(tmp_path):
    head = "student,template,keys,Size,letters,steps,paper,fingering,#paid,# Day\n"
    (tmp_path / "own.toml").write_text("", "utf-8")
    good = write(tmp_path, head + "Ann,first-steps,C major,LARGE,,Half Step,,own.toml,no,x\x07\n")
    (row,) = read_roster(good)
    assert row.own == OwnSettings(
        size="large", steps="half step", fingering=str(tmp_path / "own.toml")
    )
    bad = "Bo,first-steps,C major,larg,dutch,tone,a3,gone.toml,,\n"
    found = problems(write(tmp_path, head + bad))
    assert [text.removeprefix("roster.csv, row 2: ") for text in found] == [
        'paper is "a3"; write "letter", "a4", "half-letter" or "a5", or leave it empty',
        'size is "larg"; did you mean "large"?',
        f'letters is "dutch"; write {LETTERS}, or leave it empty',
        'steps is "tone"; did you mean "semitone"?',
        'there is no fingering file "gone.toml"; name one in the folder of the roster',
    ]
    assert problems(write(tmp_path, "student,template,keys,sizes\nAnn,first-steps,C major,\n")) == [
        'roster.csv, row 1: unknown column "sizes"; did you mean "size"?'
    ]


def test_header_and_rows_are_checked_together(tmp_path):
    found = problems(write(tmp_path, "studnt,template,keys,keys,colour\nBo,none,X,,\n"))
    for words in (
        'unknown column "studnt"; did you mean "student"?',
        '"keys" appears twice',
        'unknown column "colour"; the columns are',
        'column "student" is missing',
        'row 2: there is no template "none"',
        'row 2: "X" is not a key',
    ):
        assert any(words in text for text in found), words
    assert len(found) == 6


@pytest.mark.parametrize(
    "raw, words",
    [
        (b"", "is empty"),
        (b"\xef\xbb\xbf\r\n \n", "is empty"),
        (b",,\n,,\n", "is empty"),
        (HEADER.encode(), "no row below"),
        (HEADER.encode() + b",,,,\n\n", "no row below"),
        (GOOD.encode("cp1252"), "CSV UTF-8"),
        (GOOD.encode("utf-16-le"), "CSV UTF-8"),
        (GOOD.encode("utf-32"), "CSV UTF-8"),
        (b"PK\x03\x04\x14\x00\x06\x00", "CSV UTF-8"),
        (GOOD.encode("utf-16") + b"x", "CSV UTF-8"),
        (b"Bo,first-steps,C major\nLi,first-steps,C major\n", "row 1: is not a header row"),
        (
            GOOD.encode() + b'"Bo,first-steps,C major\nLi,first-steps,C major\n',
            "row 3: a quotation",
        ),
        (b'"student,template,keys\n', "quotation"),
        (HEADER.encode() + b"x" * 200_000 + b",first-steps,C major\n", "row 2"),
    ],
)
def test_files_that_are_no_roster(tmp_path, raw, words):
    (found,) = problems(write(tmp_path, raw))
    assert words in found


def test_the_quoting_hint_names_the_separator(tmp_path):
    (found,) = problems(write(tmp_path, "student;template;keys\nBo;first-steps;C major; A minor\n"))
    assert 'a cell that contains a semicolon in quotes, such as "C major; A minor"' in found


def test_missing_file_and_missing_template_folder(tmp_path):
    assert "cannot be read" in problems(tmp_path / "none.csv")[0]
    path = write(tmp_path, HEADER + ",first-steps,X,,\nBo,own,C major,,\n")
    found = problems(path, tmp_path / "none")
    assert len(found) == 3 and "folder of templates cannot be read" in found[-1]


def test_any_bytes_give_rows_or_problems(tmp_path):
    rng = random.Random(3)
    for _ in range(200):
        raw = bytearray(BAD.encode())
        for _ in range(rng.randrange(1, 6)):
            raw[rng.randrange(len(raw))] = rng.choice(b'",;\t\r\n\x00\xff ')
        assert problems(write(tmp_path, bytes(raw)))


def test_the_demo_roster():
    rows = read_roster(shipped() / "demo" / "roster.csv")
    assert len({row.student for row in rows}) >= 3
    assert len({row.template.level for row in rows}) == 3
    keys = {key for row in rows for key in row.keys}
    assert {abs(key.fifths) for key in keys} == set(range(7))
    assert {key.mode for key in keys} == {"major", "minor"}
    assert any(not row.student.isascii() for row in rows)


MAJOR_ONLY = """\
title = "Spring"
[[section]]
family = "progression"
title = "Applied"
hands = "right"
count = 3
points = 5
numerals = "I V7/ii ii V7 I"
"""


def test_a_section_that_no_key_of_the_row_suits(tmp_path):
    from workbook.planning.dealing import plan

    write(tmp_path, MAJOR_ONLY, "applied.toml")
    roster = write(tmp_path, HEADER + "Bo,applied,C minor; A minor,,\n")
    (problem,) = problems(roster, tmp_path)
    assert "row 2" in problem and '"Applied"' in problem and "in minor keys ii° has no" in problem
    (row,) = read_roster(write(tmp_path, HEADER + "Bo,applied,C minor; D major,,\n"), tmp_path)
    assert {item.exercise.key.ascii for item in plan(row, "").items} == {"D major"}


def test_settings_that_do_not_suit_a_key_give_way_to_others(tmp_path):
    from workbook.planning.dealing import plan

    text = MAJOR_ONLY.replace('"I V7/ii ii V7 I"', '["I V7/ii ii V7 I", "short"]')
    write(tmp_path, text.replace("count = 3", "count = 8"), "applied.toml")
    (row,) = read_roster(write(tmp_path, HEADER + "Bo,applied,C minor; D major,,\n"), tmp_path)
    exercises = [item.exercise for item in plan(row, "").items]
    assert {len(e.staves[0].events) for e in exercises if e.key.minor} == {3}
    assert {len(e.staves[0].events) for e in exercises if not e.key.minor} == {3, 5}


@pytest.mark.parametrize(
    "row", ["Gus,first-steps,C major, G major,", "Gus,first-steps,C major,,G major"]
)
def test_a_key_in_another_cell_is_told(tmp_path, row):
    with pytest.raises(
        InputError,
        match='row 2: the (title|seed) "G major" is a key; '
        'write all keys into one cell, with ";" between',
    ):
        read_roster(write(tmp_path, HEADER + row + "\n"))
