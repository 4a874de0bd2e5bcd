"""The ladder of levels: the load grows evenly, and nothing comes before what it rests on."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from statistics import fmean

import pytest

from workbook.exercises.families import FAMILIES
from workbook.planning.dealing import plan
from workbook.studio.roster import Row
from workbook.studio.templates import find, read_template

LEVELS = [read_template(find(f"level-{number:02}")) for number in range(1, 11)]
README = Path(__file__).parents[2] / "README.md"
TITLES = ("Week 1", "Week 5", "Week 9")


def boxes(template) -> float:
    """The boxes to fill in of one workbook, on average."""
    rows = [Row("Ada", template, template.keys, title, None, 2) for title in TITLES]
    return fmean(sum(len(item.exercise.asked) for item in plan(row, "").items) for row in rows)


def test_the_load_grows_evenly():
    counts = list(map(boxes, LEVELS))
    steps = [after / before for before, after in pairwise(counts)]
    assert all(0.9 <= step <= 1.4 for step in steps), (counts, steps)
    told = re.findall(
        r"^\| `level-\d\d` \| \d+ \| (\d+) \|", README.read_text("utf-8"), re.MULTILINE
    )
    assert [abs(int(said) - count) <= 5 for said, count in zip(told, counts, strict=True)] == (
        [True] * len(LEVELS)
    )


def first(family, **settings):
    """The first level that has a family, with each of the settings among its own."""
    for number, template in enumerate(LEVELS, 1):
        for section in template.sections:
            chosen = dict(section.settings)
            if section.family == family and all(
                value in chosen.get(name, ()) for name, value in settings.items()
            ):
                return number
    raise AssertionError(f"no level has {family} {settings}")


@pytest.mark.parametrize(
    "early, late",
    [
        (first("interval-numbers"), first("interval-building")),
        (first("interval-quality"), first("interval-building", qualities="natural")),
        (first("interval-numbers"), first("interval-numbers", answer="inversion")),
        (first("intervals"), first("interval-building")),
        (
            first("interval-building", label="number"),
            first("interval-building", qualities="natural"),
        ),
        (first("interval-building"), first("interval-building", size="compound")),
        (
            first("triad-quality", qualities="major and minor"),
            first("triad-quality", qualities="all") - 1,
        ),
        (first("broken-chord"), first("arpeggio")),
        (first("broken-chord"), first("inversions", pattern="broken")),
        (first("inversions"), first("inversions", pattern="broken")),
        (first("scale-writing"), first("modes")),
        (first("scale-fingering", octaves=2), first("scale-fingering", apart="tenth")),
        (first("scale-fingering", apart="tenth"), first("scale-fingering", apart="third")),
        (first("inversions", pattern="broken"), first("inversions", pattern="four-note")),
        (first("scale-steps"), first("half-steps")),
        (first("transposition", numerals="short"), first("transposition", numerals="full")),
        (first("cadences"), first("cadence-writing")),
        (first("harmonizing"), first("chord-tones")),
        (first("chord-tones", tones="chord or not"), first("chord-tones", tones="suspension")),
        (first("note-values"), first("counting")),
        (first("counting"), first("time-signatures")),
        (first("term-matching", stage="third"), first("term-meanings", stage="third")),
        (first("signs", answer="number"), first("signs", answer="name")),
    ],
)
def test_nothing_is_asked_before_what_it_rests_on(early, late):
    assert early <= late


def test_every_family_is_in_a_level():
    assert {section.family for level in LEVELS for section in level.sections} == set(FAMILIES)


def test_hands_together_contrary_motion_and_the_chromatic_scale_come_in_time():
    assert first("scale-fingering", motion="contrary") <= 4
    assert first("scale-fingering", motion="parallel") <= 4
    assert first("chromatic-scale") <= 5
