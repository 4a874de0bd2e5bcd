"""Folder names: safe on every system, distinct, and the same in any order of rows.

Source of the reserved names: Microsoft, "Naming Files, Paths, and Namespaces".
"""

import random
import unicodedata
from dataclasses import replace

import pytest

from workbook.music.keys import parse_keys
from workbook.studio.folders import folders, safe_name
from workbook.studio.own_settings import OwnSettings
from workbook.studio.roster import Row
from workbook.studio.template_model import Template

RESERVED = ["CON", "prn", "Aux", "NUL", "COM1", "lpt9", "COM¹"]
HOSTILE = [
    "../../etc/x",
    "<b>Ann</b>",
    '#(system "id")',
    "x" * 300,
    "Ж" * 300,
    "王" * 300,
    "e\u0301\u0323" * 100,
    ".",
    "..",
    "...hidden",
    "-rf",
    "~",
    "a/b\\c:d*e?f",
    "end. ",
    "\u202egnp.exe",
    "🎹",
    "\u0301",
    "A\u0301" + "\u0323" * 200,
    "\U0001d11e",
    "_",
    "com1.txt",
    *RESERVED,
]


def row(student, title="", template="first-steps", keys="C major", seed=None, number=2):
    return Row(student, Template(template, "T", "", "", ()), parse_keys(keys), title, seed, number)


def check(name):
    assert 0 < len(name) <= 60 and len(name.encode()) <= 120
    assert all(c in "-_" or unicodedata.category(c)[0] in "LMN" for c in name)
    assert name[0] not in "-." and name[-1] not in "-. "
    assert name.upper() not in [r.upper() for r in RESERVED]


def test_settings_of_a_row_change_no_folder_and_tell_rows_apart_in_any_order():
    large = replace(row("Ann"), own=OwnSettings(size="large"))
    assert folders([large]) == folders([row("Ann")])
    one, other = folders([row("Ann"), large]), folders([large, row("Ann")])
    assert (one[0], one[1]) == (other[1], other[0]) and one[0] != one[1]
    first, second = OwnSettings(fingering="/here/a.toml"), OwnSettings(fingering="/there/a.toml")
    mine, yours = replace(row("Ann"), own=first), replace(row("Ann"), own=second)
    assert folders([row("Ann"), mine]) == folders([row("Ann"), yours])


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names(name):
    path = folders([row(name)])[0]
    assert len(path.parts) == 1 and not path.is_absolute()
    check(str(path))


def test_what_names_become():
    for name, folder in [
        ("../../etc/x", "etc-x"),
        ("<b>Ann</b>", "b-Ann-b"),
        ("CON", "CON_"),
        ('#(system "id")', "system-id"),
        ("🎹", "student"),
        ("नेहा", "नेहा"),
        ("Zoë Lindqvist-Okafor", "Zoë-Lindqvist-Okafor"),
    ]:
        assert safe_name(name) == folder


def test_all_hostile_names_at_once_are_distinct():
    rows = [row(name) for name in HOSTILE]
    names = [str(path) for path in folders(rows).values()]
    for name in names:
        check(name)
    assert len({unicodedata.normalize("NFD", n).casefold() for n in names}) == len(rows)


@pytest.mark.parametrize(
    "pair",
    [
        ("Ann Lee", "Ann-Lee"),
        ("ann", "ANN"),
        ("x" * 300, "x" * 301),
        ("CON", "CON_"),
        ("Straße", "STRASSE"),
        ("🎹", "🎻"),
    ],
)
def test_two_names_that_give_one_folder_are_both_told_apart(pair):
    one, two = (str(p) for p in folders([row(name) for name in pair]).values())
    assert one.casefold() != two.casefold()
    assert {one, two}.isdisjoint(map(safe_name, pair))
    assert [str(p) for p in folders([row(n) for n in reversed(pair)]).values()] == [two, one]
    check(one)
    check(two)


def test_a_name_that_looks_like_anothers_hash():
    hashed = str(folders([row("Ann Lee"), row("Ann-Lee")])[0])
    found = folders([row("Ann Lee"), row("Ann-Lee"), row(hashed)])
    assert len({str(p).casefold() for p in found.values()}) == 3


def test_several_rows_of_one_student():
    rows = [row("Bo", "Spring"), row("Li"), row("Bo"), row("Bo", "../up"), row("Bo", "CON")]
    found = {index: path.as_posix() for index, path in folders(rows).items()}
    assert found == {0: "Bo/Spring", 1: "Li", 2: "Bo/first-steps", 3: "Bo/up", 4: "Bo/CON_"}


def test_equal_titles_and_equal_rows():
    rows = [
        row("Bo", "Spring"),
        row("Bo", "Spring", number=3),
        row("Bo", "Autumn", keys="G major"),
        row("Bo", "autumn", keys="D major"),
    ]
    found = [path.name for path in folders(rows).values()]
    assert found[:2] == ["Spring", "Spring-2"]
    assert found[2].startswith("Autumn-") and found[3].startswith("autumn-")
    assert len({name.casefold() for name in found}) == 4


def test_the_order_of_rows_does_not_matter():
    students = ["Ann Lee", "Ann-Lee", "Bo", "bo", "x" * 300, "x" * 299, "🎹"]
    rng = random.Random(1)
    rows = [
        row(
            rng.choice(students),
            rng.choice(["", "Spring", "spring"]),
            keys=rng.choice(["C major", "G major"]),
            number=n,
        )
        for n in range(60)
    ]

    def by_content(order):
        found = folders(order)
        return sorted(
            (r.student, r.title, r.keys[0].ascii, str(found[i])) for i, r in enumerate(order)
        )

    first = by_content(rows)
    paths = [path.casefold() for *_, path in first]
    assert len(set(paths)) == len(rows)
    for _ in range(10):
        rng.shuffle(rows)
        assert by_content(rows) == first


def test_no_rows():
    assert folders([]) == {}
