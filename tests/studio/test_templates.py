"""Reading templates: what is understood, and that everything wrong is said at once."""

import random
import tracemalloc

import pytest

from workbook.errors import InputError
from workbook.exercises.answers import NOTE
from workbook.exercises.families import FAMILIES
from workbook.exercises.family import Family
from workbook.exercises.settings import Setting
from workbook.inputs.toml_table import key_lines
from workbook.resources import shipped
from workbook.studio.templates import available, find, match, read_template

GOOD = """\
title = "Spring"

[[section]]
family = "scale-fingering"
hands = "right"
count = 2
points = 5
"""


def write(folder, text, name="own.toml"):
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def problems(path, **more):
    with pytest.raises(InputError) as caught:
        read_template(path, **more)
    assert caught.value.exit_code == 2
    return [(p.place, p.what, p.instead) for p in caught.value.problems]


def said(path, **more):
    return [" ".join(p) for p in problems(path, **more)]


def test_defaults(tmp_path):
    template = read_template(write(tmp_path, GOOD))
    (section,) = template.sections
    assert (template.name, template.title, template.level, template.instructions) == (
        "own",
        "Spring",
        "",
        "",
    )
    assert section.title == FAMILIES["scale-fingering"].title
    assert (section.hands, section.ask, section.given) == (("right",), ("finger",), 0)
    assert (section.settings, section.ledger_lines) == ((), 2)


def test_values_and_lists(tmp_path):
    text = GOOD.replace('"right"', '["left", "both"]') + (
        'octaves = 2\nforms = ["natural", "melodic"]\nledger_lines = 0\ngiven = 3\n'
    )
    (section,) = read_template(write(tmp_path, text)).sections
    assert section.hands == ("left", "both")
    assert dict(section.settings) == {"octaves": (2,), "forms": ("natural", "melodic")}
    assert (section.ledger_lines, section.given) == (0, 3)


def test_other_families_can_be_passed(tmp_path):
    families = {
        "echo": Family("echo", "Echo", (NOTE,), {"loud": Setting((True, False), True)}, None)
    }
    path = write(tmp_path, GOOD.replace("scale-fingering", "echo") + "loud = true\n")
    (section,) = read_template(path, families=families).sections
    assert (section.title, section.ask, section.settings) == (
        "Echo",
        ("note",),
        (("loud", (True,)),),
    )


def test_paragraphs_and_white_space_are_folded(tmp_path):
    text = 'instructions = """\nPlay\n  first.\n\nThen write.\n"""\n' + GOOD
    assert read_template(write(tmp_path, text)).instructions == "Play first.\nThen write."


@pytest.mark.parametrize(
    "raw", [b"\xef\xbb\xbf" + GOOD.encode(), GOOD.replace("\n", "\r\n").encode()]
)
def test_byte_order_mark_and_crlf(tmp_path, raw):
    assert read_template(write(tmp_path, raw)).title == "Spring"


BAD = '''\
titel = "Spring"
level = 3
instructions = """
[[section]]
family = "not a key"
"""

[[section]]            # [[section]]
family = "scale-fingering"
hands = ["right", "lefft"]
cuont = 2
given = -1
octaves = true
quality = true

[[section]]
family = "arpegio"
hands = "both"
count = 2.0
points = 1000
ledger_lines = 3

[[section]]
"family" = "intervals"
hands = []
count = 2
points = 2
ask = ["interval", "interval"]
quality = "yes"
title = "  "
'''


def test_everything_wrong_is_said_at_once(tmp_path):
    found = problems(write(tmp_path, BAD))
    expected = [
        ("", '"title" is missing', "write title"),
        ("line 1", 'unknown key "titel"', 'did you mean "title"?'),
        ("line 2", "level is 3", "quotes"),
        ("line 8", '"count" is missing', "from 1 to 200"),
        ("line 8", '"points" is missing', "from 0 to 100"),
        ("line 10", 'hands cannot be "lefft"', 'did you mean "left"?'),
        ("line 11", 'unknown key "cuont"', 'did you mean "count"?'),
        ("line 12", "given is -1", "from 0 to 30"),
        ("line 13", "octaves cannot be true", "one of 1, 2"),
        ("line 14", "quality is not a setting of scale-fingering", "intervals"),
        ("line 17", 'family cannot be "arpegio"', 'did you mean "arpeggio"?'),
        ("line 19", "count is 2.0", "from 1 to 200"),
        ("line 20", "points is 1000", "from 0 to 100"),
        ("line 21", "ledger_lines is 3", "from 0 to 2"),
        ("line 25", "hands is an empty list", "right"),
        ("line 28", 'ask has "interval" twice', "once"),
        ("line 29", 'quality cannot be "yes"', "one of false, true"),
    ]
    assert len(found) == len(expected)
    for (place, what, instead), (at, part, right) in zip(found, expected):
        assert place == at and part in what and right in instead


@pytest.mark.parametrize(
    "text, place, words",
    [
        ("", "", "empty"),
        ("  \n\n", "", "empty"),
        (b"\xef\xbb\xbf", "", "empty"),
        (GOOD + "given = \n", "line 8", "not TOML"),
        (GOOD + "given = [1,\n", "line 8", "not TOML"),
        (GOOD + "count = 3\n", "line 8", "not TOML"),
        (GOOD + "given = " + "9" * 5000 + "\n", "line", ""),
        ("a = " + "[" * 9000, "", ""),
        (b'title = "x"\nlevel = "caf\xe9"\n', "line 2", "not UTF-8"),
        ("\ufeff".encode("utf-16"), "line 1", "not UTF-8"),
        ('title = "x"\n', "", "no section"),
        ('title = "x"\nsection = 3\n', "line 2", "[[section]]"),
        ('title = "x"\n[section]\nfamily = "intervals"\n', "line 2", "[[section]]"),
        (
            'title = "x"\nsection = [{family = "intervals", hands = "both", count=0, points=1}]',
            "line 2",
            "count is 0",
        ),
        (GOOD.replace("Spring", ""), "line 1", "title is empty"),
        (GOOD.replace("Spring", "S\\u0000"), "line 1", "control character"),
        (GOOD.replace('"scale-fingering"', '["intervals"]'), "line 4", "family cannot be"),
        (GOOD.replace('family = "scale-fingering"\n', ""), "line 3", '"family" is missing'),
    ],
)
def test_one_thing_wrong(tmp_path, text, place, words):
    (found,) = said(write(tmp_path, text))
    assert found.startswith(place) and words in found


def test_missing_file_and_folder(tmp_path):
    assert "cannot be read" in said(tmp_path / "none.toml")[0]
    assert "cannot be read" in said(tmp_path)[0]
    with pytest.raises(InputError):
        available(tmp_path / "none")


def test_any_bytes_give_a_template_or_problems(tmp_path):
    rng = random.Random(5)
    for _ in range(300):
        raw = bytearray(BAD.encode())
        for _ in range(rng.randrange(1, 6)):
            raw[rng.randrange(len(raw))] = rng.choice(b"\"[]=#\n\x00\xff\\{}'1")
        assert problems(write(tmp_path, bytes(raw)))


def test_key_lines():
    text = 'a = 1\n[[section]]\nb = [\n  "c = 1",\n]\n\'d\' = """\nx = 1\n"""\ne.f = 2\n'
    assert key_lines(text) == {(-1, "a"): 1, (0, ""): 2, (0, "b"): 3, (0, "d"): 6, (0, "e"): 9}


def test_key_lines_of_long_texts_take_little_memory():
    words = "play each row " * 100_000
    text = f'a = "{words}"\nb = """{words}\\""" ""more""\n c = 1""""\nd = 1\n'
    tracemalloc.start()
    try:
        assert key_lines(text) == {(-1, "a"): 1, (-1, "b"): 2, (-1, "d"): 4}
        assert tracemalloc.get_traced_memory()[1] < 20 * len(text)
    finally:
        tracemalloc.stop()


def test_own_templates_come_first(tmp_path):
    own = write(tmp_path, GOOD, "first-steps.toml")
    write(tmp_path, GOOD, "Été.toml")
    write(tmp_path, GOOD, "._first-steps.toml")
    write(tmp_path, GOOD, "notes.txt")
    names = available(tmp_path)
    assert list(names)[:2] == ["first-steps", "Été"] and names["first-steps"] == own
    assert set(available()) <= set(names)
    assert find("FIRST-Steps.toml", tmp_path) == own
    assert find("first-steps") == shipped() / "workbooks" / "first-steps.toml"


def test_unknown_name_is_helped():
    with pytest.raises(ValueError, match='did you mean "all-skills"'):
        match("all skils", ["first-steps", "all-skills"])
    with pytest.raises(ValueError, match="the templates are first-steps, all-skills"):
        match("../../etc/passwd", ["first-steps", "all-skills"])


@pytest.mark.parametrize(
    "name, points", [("first-steps", 50), ("all-skills", 100), ("advanced", 100)]
)
def test_shipped_templates(name, points):
    template = read_template(find(name))
    assert template.title and template.level and template.instructions
    assert sum(s.count * s.points for s in template.sections) == points


def test_shipped_templates_cover_what_they_promise():
    every = {s.family for s in read_template(find("all-skills")).sections}
    assert every == {
        "scale-fingering",
        "primary-chords",
        "inversions",
        "progression",
        "arpeggio",
        "intervals",
    }
    advanced = read_template(find("advanced"))
    assert not any(section.given for section in advanced.sections)


PROGRESSION = """\
title = "Spring"

[[section]]
family = "progression"
hands = ["right", "both"]
count = 2
points = 5
"""


def test_a_progression_in_numerals(tmp_path):
    text = PROGRESSION + 'numerals = ["short", "I vi ii6 V7 I", "I V7/ii ii V7 I"]\n'
    (section,) = read_template(write(tmp_path, text)).sections
    assert dict(section.settings) == {"numerals": ("short", "I vi ii6 V7 I", "I V7/ii ii V7 I")}


@pytest.mark.parametrize(
    "lines, expected",
    [
        ('numerals = "I H V9 I"', ['"H" is not a Roman numeral', "has the figures 9"]),
        ('numerals = ["short", "I", 5]', ["1 chord in a progression", 'write "full", "short"']),
        ("numerals = []", ["numerals is an empty list"]),
        ('numerals = "I V7/vii I"', ["has no dominant of its own"]),
        ('numerals = "I V4/2 I6"\nstyle = "keyboard"', ["needs two hands"]),
        ('hands = "both"\nnumerals = "I V4/2 I"\nstyle = "keyboard"', ["as in V4/2 I6"]),
        ('numerals = "I V4/2 I6/4 I"', ["as in V4/2 I6"]),
    ],
)
def test_a_progression_that_cannot_be(tmp_path, lines, expected):
    text = PROGRESSION
    if "hands" in lines:
        text = text.replace('hands = ["right", "both"]\n', "")
    found = said(write(tmp_path, text + lines + "\n"))
    assert len(found) == len(expected)
    for sentence, words in zip(found, expected):
        assert sentence.startswith("line ") and words in sentence


LEVELS = [f"level-{number:02d}" for number in range(1, 11)]


@pytest.mark.parametrize(
    "name, points",
    [*((name, 60) for name in LEVELS[:3]), *((name, 100) for name in LEVELS[3:]), ("review", 100)],
)
def test_the_ladder_of_levels(name, points):
    template = read_template(find(name))
    assert sum(s.count * s.points for s in template.sections) == points
    assert template.keys or name == "review"
    assert template.level == (str(int(name[-2:])) if name != "review" else "")


def test_difficulty_rises_from_level_to_level():
    templates = [read_template(find(name)) for name in LEVELS]
    keys = [len(template.keys) for template in templates]
    assert keys == sorted(keys) and keys[0] == 3 and keys[-1] == 24
    given = [
        sum(s.given * s.count for s in t.sections if s.family != "circle-of-fifths")
        for t in templates
    ]
    assert given[0] > 0 and given[6:] == [0] * 4
    ledgers = [max(s.ledger_lines for s in template.sections) for template in templates]
    assert ledgers == sorted(ledgers)
    octaves = [
        max(
            (
                max(dict(s.settings).get("octaves", (1,)))
                for s in t.sections
                if s.family == "scale-fingering"
            ),
            default=0,
        )
        for t in templates
    ]
    assert octaves == sorted(octaves) and octaves[-1] == 4


def test_the_ladder_leaves_out_no_family_that_it_was_made_of():
    """Thirty-two; what is added later may wait for its place."""
    asked = {s.family for name in (*LEVELS, "review") for s in read_template(find(name)).sections}
    assert len(asked) >= 32


@pytest.mark.parametrize(
    "step",
    [
        pytest.param(6, id="some"),
        pytest.param(1, id="every", marks=pytest.mark.sweep),
    ],
)
@pytest.mark.parametrize("name", (*LEVELS, "review"))
def test_every_level_plans_for_any_key(name, step):
    """In the suite one key in six, others for each level."""
    from workbook.music.keys import ALL_KEYS
    from workbook.planning.dealing import plan
    from workbook.studio.roster import Row

    template = read_template(find(name))
    for key in ALL_KEYS[LEVELS.index(name) % step if name in LEVELS else 0 :: step]:
        planned = plan(Row("Ann", template, (key,), "", None, 2), "")
        assert len(planned.items) == sum(s.count for s in template.sections)


def test_a_row_without_keys_has_the_keys_of_its_template(tmp_path):
    from workbook.studio.roster import read_roster

    roster = tmp_path / "r.csv"
    roster.write_text("student,template,keys\nAnn,level-01,\nBo,review,\n")
    with pytest.raises(InputError, match="row 3.*no key is given"):
        read_roster(roster)
    roster.write_text("student,template,keys\nAnn,level-01,\nBo,level-01,E major\n")
    assert [[key.ascii for key in row.keys] for row in read_roster(roster)] == [
        ["C major", "G major", "F major"],
        ["E major"],
    ]


def test_keys_of_a_template_are_checked(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(
        'title = "x"\nkeys = "C major; H major"\n[[section]]\nfamily = "five-finger"\n'
        'hands = "right"\ncount = 1\npoints = 1\n'
    )
    with pytest.raises(InputError, match='line 2: "H major" is not a key'):
        read_template(path)


def test_marking(tmp_path):
    assert read_template(write(tmp_path, GOOD)).marking == "share"
    text = f'marking = "one off"\n{GOOD}'
    assert read_template(write(tmp_path, text)).marking == "one off"
    for wrong, told in (
        ('"one of"', 'marking cannot be "one of"; did you mean "one off"?'),
        ('"half"', 'marking cannot be "half"; write one of "share", "one off", "all or nothing"'),
        ("2", "marking cannot be 2; write one of"),
    ):
        text = f"# mine\nmarking = {wrong}\n{GOOD}"
        (found,) = problems(write(tmp_path, text))
        assert found[0] == "line 2" and " ".join(found[1:]).startswith(told)
