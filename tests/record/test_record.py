"""The record: it is as the schema says, and is read as it was written."""

import json
from dataclasses import replace
from importlib.resources import files

import pytest
from jsonschema import Draft202012Validator
from record.samples import SOME_KEYS, as_item, exercises, items, record

from workbook.exercises.families import FAMILIES
from workbook.exercises.telling import typed
from workbook.record.from_exercise import shared
from workbook.record.model import VERSION, Marking, Match
from workbook.record.reader import Unreadable, read_record
from workbook.record.writer import fragment, record_text

SCHEMA = json.loads(files("workbook.record").joinpath("key.schema.json").read_text("utf-8"))
VALIDATOR = Draft202012Validator(SCHEMA)


@pytest.fixture(
    scope="module",
    params=[
        pytest.param(2, id="some"),
        pytest.param(1, id="every", marks=pytest.mark.sweep),
    ],
)
def made(request):
    """Exercises in every key of ``SOME_KEYS``, or in one of two."""
    return list(exercises(SOME_KEYS[:: request.param], ("right", "both")))


@pytest.fixture(scope="module")
def whole(made):
    return record(made)


@pytest.fixture(scope="module")
def small():
    """Three short items, the first with a group."""
    made = list(exercises(SOME_KEYS[1:2], ("left",)))
    grouped = next(
        pair for pair in made if pair[0].family == "thumb-crossings" and as_item(pair[0]).groups
    )
    return record(
        [
            grouped,
            *(
                next(pair for pair in made if pair[0].family == family)
                for family in ("progression", "cadences")
            ),
        ]
    )


def test_schema_is_one():
    Draft202012Validator.check_schema(SCHEMA)


def test_every_family_is_as_the_schema_says(made):
    short = record([made[at] for at in range(0, len(made), 3)])
    assert {item.family for item in short.items} == set(FAMILIES)
    data = json.loads(record_text(short))
    assert [error.message for error in VALIDATOR.iter_errors(data)] == []


def test_schema_knows_every_match_and_marking():
    blank, section = SCHEMA["$defs"]["blank"], SCHEMA["$defs"]["section"]
    assert blank["properties"]["match"]["enum"] == list(Match)
    assert section["properties"]["marking"]["enum"] == list(Marking)


@pytest.mark.parametrize(
    "path, value",
    [
        (("version",), 3),
        (("points",), "6"),
        (("sections", 0, "marking"), "half"),
        (("sections", 0, "items", 0, "blanks", 0, "rect"), [1, 2, 3]),
        (("sections", 0, "items", 0, "blanks", 0, "match"), "digit"),
        (("sections", 0, "items", 0, "blanks", 0, "of"), ["H4"]),
        (("sections", 0, "items", 0, "new"), 1),
    ],
)
def test_schema_refuses(small, path, value):
    data = json.loads(record_text(small))
    change(data, path, value)
    assert list(VALIDATOR.iter_errors(data))


def change(data, path, value):
    for step in path[:-1]:
        data = data[step]
    data[path[-1]] = value


def test_read_as_written(whole):
    assert read_record(record_text(whole)) == whole


def test_text_is_the_same_each_time_and_with_what_is_shared(made, whole):
    known = {number: shared(exercise) for number, (exercise, _) in enumerate(made, 1)}
    assert record_text(whole, known) == record_text(whole)
    assert shared(made[0][0]) is shared(made[0][0])
    assert fragment(whole.items[0]) == shared(made[0][0])


def test_a_blank_a_line(whole):
    lines = record_text(whole).splitlines()
    assert sum('"rect": ' in line for line in lines) == len(whole.blanks)
    assert all(line.count('"rect": ') <= 1 for line in lines)


def test_all_that_version_1_said_is_there(made, whole):
    for (exercise, _), item in zip(made, whole.items):
        assert (item.family, item.key, item.hand, item.prompt) == (
            exercise.family,
            exercise.key_name,
            exercise.hand,
            exercise.prompt,
        )
        for old, blank in zip(exercise.asked, item.blanks, strict=True):
            assert (old.asks, old.hand, old.column, old.answer, old.why) == (
                blank.asks,
                blank.hand,
                blank.column,
                blank.answer,
                blank.why,
            )
            # versions of a whole row are data for the judge, which reads # and b by itself
            texts = [old.answer, *old.also]
            alone = [one for one in texts if len(old.versions) < 2 or one not in old.versions]
            assert set(item.also(blank)) == {*old.also, *typed(alone)}
            if item.versions(blank):
                assert set(item.versions(blank)) == set(old.versions)
            else:
                assert len(set(old.versions)) <= 1 or stack_of_one_version(exercise, old)


def stack_of_one_version(exercise, blank):
    """Whether only other chords of the row differ between the versions."""
    same = [
        b.versions
        for b in exercise.asked
        if (b.asks, b.hand, b.column) == (blank.asks, blank.hand, blank.column)
    ]
    return len(set(zip(*same))) == 1


@pytest.mark.parametrize("step", [2, pytest.param(1, marks=pytest.mark.sweep)])
@pytest.mark.parametrize("given", [1, 3])
def test_help_takes_versions_away(given, step):
    for item in items(keys=SOME_KEYS[1 - 1 // step :: step], hands=("right",), given=given):
        for group in item.groups:
            assert group.versions[0] == tuple(
                item.blanks[place - 1].answer for place in group.blanks
            )
            assert len(set(group.versions)) == len(group.versions) > 1


def test_facts():
    wide = {2: 15, 1: 8, 3: 22, 4: 29}
    for exercise, settings in exercises(SOME_KEYS[::2], ("right",)):
        if exercise.family == "scale-fingering" and "octaves" in settings:
            found = as_item(exercise).facts
            assert found["octaves"] == settings["octaves"]
            assert found["degrees"] == wide[settings["octaves"]]
            most = 2 if settings["octaves"] == 1 else 3  # long runs keep their clef
            assert found["hands"] == 1 and found["ledger_lines"] <= most


# Version 1, as it was written before there were sections.
OLD = {
    "student": "Pippa Marrowby",
    "template": "review",
    "title": "Spring",
    "form": "",
    "seed": "april",
    "code": "ABC-DEF",
    "paper": "letter",
    "size": "normal",
    "points": 6,
    "items": [
        {
            "number": 1,
            "family": "thumb-crossings",
            "key": "C major",
            "hand": "right",
            "page": 1,
            "points": 6,
            "prompt": "C major, right hand. Write.",
            "notes": {"right": [["C4"], ["D4"], ["E4"]]},
            "blanks": [
                {
                    "id": "1.1",
                    "asks": "cross",
                    "hand": "right",
                    "column": 1,
                    "of": ["D4"],
                    "answer": "–",
                    "also": ["1", ""],
                    "versions": ["–", "1"],
                    "page": 1,
                    "rect": [36, 700.5, 50, 714],
                },
                {
                    "id": "1.2",
                    "asks": "cross",
                    "hand": "right",
                    "column": 2,
                    "of": ["E4"],
                    "answer": "1",
                    "also": ["–"],
                    "versions": ["1", "–"],
                    "why": "thumb",
                    "page": 1,
                    "rect": [60, 700.5, 74, 714],
                },
                {
                    "id": "1.3",
                    "asks": "chord",
                    "hand": "right",
                    "column": 2,
                    "of": ["E4"],
                    "answer": "C",
                    "also": ["C major"],
                    "page": 1,
                    "rect": [60, 600, 74, 614],
                },
            ],
        }
    ],
}


def test_version_1():
    found = read_record(json.dumps(OLD))
    (item,) = found.items
    first, second, third = item.blanks
    assert found.version == 1 and found.sections[0].marking == Marking.ONE_OFF
    assert item.groups[0].versions == (("–", "1"), ("1", "–"))
    assert item.also(first) == ("1", "") and item.also(second) == ("–",)
    assert third.match == Match.CHORD and third.accept == ("C major",)
    assert second.why == "thumb" and third.rect == (60.0, 600.0, 74.0, 614.0)
    assert read_record(record_text(found)) == replace(found, version=VERSION)


@pytest.mark.parametrize(
    "change_it",
    [
        lambda d: d.pop("code"),
        lambda d: d["items"][0].pop("notes"),
        lambda d: d["items"][0]["blanks"][0].update(versions=["–"] * 3),
        lambda d: d["items"][0]["blanks"][0].update(id="1.2"),
        lambda d: d["items"][0]["blanks"][0].update(rect=[1, 2, 3, "4"]),
    ],
)
def test_version_1_refused(change_it):
    data = json.loads(json.dumps(OLD))
    change_it(data)
    refused(json.dumps(data))


PYTHON = (
    "literal",
    "NoneType",
    "expected str",
    "object is",
    "KeyError",
    "argument",
    "unpack",
    "subscript",
    "dict",
    "Traceback",
    "delimiter",
    "tuple",
)


def refused(text):
    with pytest.raises(Unreadable) as error:
        read_record(text)
    said = str(error.value)
    assert said and not any(word in said for word in PYTHON), said
    assert len(said) < 300, said
    said.encode("utf-8")
    return said


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "null",
        "3",
        '"x"',
        "[" * 100_000,
        '{"version": NaN}',
        '{"version": 1e999}',
        '{"version": ' + "9" * 5000 + "}",
        '{"version": true}',
        '{"version": 0}',
        "{}",
        '{"version": 2}',
        '{"version": "2"}',
    ],
)
def test_no_record(text):
    refused(text)


def test_newer_version(small):
    data = json.loads(record_text(small)) | {"version": VERSION + 1}
    assert "newer" in refused(json.dumps(data))


def paths(value, path=()):
    """The path of every value, but one of each kind of list's members."""
    if path:
        yield path
    members = (
        value.items()
        if isinstance(value, dict)
        else (list(enumerate(value))[:1] if isinstance(value, list) else ())
    )
    for step, member in members:
        yield from paths(member, (*path, step))


HOSTILE = (
    None,
    -1,
    1.5,
    float("nan"),
    float("inf"),
    10**400,
    True,
    "\ud800",
    {},
    [],
    [None],
    [[1]],
    {"a": {}},
    "x" * 10_000,
)


def test_every_value_may_be_wrong_or_missing(small):
    text = record_text(small)
    count = 0
    for path in paths(json.loads(text)):
        for value in HOSTILE:
            data = json.loads(text)
            change(data, path, value)
            hostile = json.dumps(data)
            try:
                read_record(hostile)
            except Unreadable:
                refused(hostile)
                count += 1
            else:  # what is read is of the types that were promised, so that it can be written
                record_text(read_record(hostile))
    assert count > 500
    for path in paths(json.loads(text)):
        if isinstance(path[-1], str) and path[-1] not in ("accept", "why", "groups", "version"):
            data = inner = json.loads(text)
            for step in path[:-1]:
                inner = inner[step]
            del inner[path[-1]]
            if not {"settings", "facts", "notes"} & set(path[:-1]):
                assert path[-1] in refused(json.dumps(data))


@pytest.mark.parametrize(
    "path, value",
    [
        (("blanks", 0, "rect"), [0, 0, float("nan"), 1]),
        (("blanks", 0, "rect"), [0, 0, True, 1]),
        (("blanks", 0, "rect"), [0, 0, 10**400, 1]),
        (("blanks", 1, "id"), "1.1"),
        (("groups", 0, "blanks", 0), 99),
        (("groups", 0, "blanks", 0), 0),
        (("groups", 0, "blanks", 0), 2),
        (("groups", 0, "versions", 0, 0), "9"),
        (("groups", 0, "versions", 1), ["1"]),
        (("groups", 0, "versions"), []),
    ],
)
def test_what_does_not_go_together(small, path, value):
    data = json.loads(record_text(small))
    change(data["sections"][0]["items"][0], path, value)
    refused(json.dumps(data))


def test_names_the_place(small):
    data = json.loads(record_text(small))
    data["sections"][1]["items"][0]["blanks"][2]["page"] = "two"
    assert refused(json.dumps(data)) == (
        '"page" of blank 3 of item 2 must be a whole number, 0 or more, not "two"'
    )
