"""Forms A, B and C of a workbook repeat no music while there is other music to be asked about.

What there is, and what counts as the same, is worked out here from the exercises themselves.
"""

from random import Random

import pytest
from asked import Request

from workbook.exercises.families import FAMILIES
from workbook.exercises.model import DRAWN
from workbook.music.keys import parse_keys
from workbook.planning.dealing import plans
from workbook.planning.supply import requests_in
from workbook.studio.roster import Row
from workbook.studio.templates import available, read_template

TEMPLATES = {name: read_template(path) for name, path in sorted(available().items())}
LEVELS = [name for name in TEMPLATES if name.startswith("level-")]
SWEEP = pytest.mark.sweep
HELP = ("written", "signature_written", "pen", "pen_bar", "room", "span")
"""What of an event says that the student writes it."""


def seen(exercise):
    """The music with all notes that are to be written, and what is asked about it: not which of
    the answers are printed as help.
    """
    rows = {(blank.asks, blank.hand) for blank in exercise.blanks if not blank.given}
    labels = [
        (blank.tag, blank.answer)
        for blank in exercise.blanks
        if (blank.asks, blank.hand) not in rows
    ]
    gaps = {b.tag for b in exercise.asked} if exercise.family == "missing-chord" else ()
    notes = [
        (staff.hand, [{**event._asdict(), **dict.fromkeys(HELP)} for event in staff.events])
        for staff in exercise.staves
    ]
    heading = exercise.label, exercise.choices, exercise.signed and exercise.key.fifths
    boxes = [blank.tag for blank in exercise.blanks if blank.asks not in DRAWN]
    drawn = str(notes), str(exercise.figure), str(boxes)
    return exercise.family, heading, drawn, str(sorted(rows)), str(labels), str(sorted(gaps))


def possible(section, keys, seeds=40):
    """All that a section can ask in some keys: each hand and settings, with many seeds."""
    family = FAMILIES[section.family]
    like = Request(keys[0], "right", section.ask, section.given, section.ledger_lines)
    return {
        seen(family.make(request, Random(seed)))
        for key in (keys if family.keyed else keys[:1])
        for request in requests_in(section, like, key)
        for seed in range(seeds)
    }


def forms(template, keys, seed):
    row = Row("Ada", template, keys, "", None, 2)
    return plans(row, seed, forms=3)


@pytest.mark.parametrize("name", [*LEVELS[:5], *(pytest.param(n, marks=SWEEP) for n in LEVELS[5:])])
def test_forms_of_a_level_share_no_music(name):
    template = TEMPLATES[name]
    for seed in ("", "a", "b", "c"):
        everything = [
            seen(item.exercise)
            for one in forms(template, template.keys, seed)
            for item in one.items
        ]
        assert len(set(everything)) == len(everything)


@pytest.mark.parametrize(
    "keys",
    [
        "C major",
        "C major; A minor",
        pytest.param("G major; E minor; F minor", marks=SWEEP),
        pytest.param("D major; Bb major; F minor; B minor", marks=SWEEP),
        pytest.param("Ab minor; C# major", marks=SWEEP),
    ],
)
@pytest.mark.parametrize("seed", ["", pytest.param("a", marks=SWEEP)])
def test_music_is_repeated_only_if_there_is_no_other_and_counted(keys, seed):
    """In a section that has something twice, or shares it, all that it can ask is set by then."""
    repeated, keys = 0, parse_keys(keys)
    for name, template in TEMPLATES.items():
        before = set()
        for one in forms(template, keys, seed):
            shown = {seen(s.example.exercise) for s in one.sections if s.example}
            own = {seen(item.exercise) for item in one.items}
            counted = {}
            here = set()
            for section, made in zip(template.sections, one.sections):
                exercises = [seen(item.exercise) for item in made.items]
                twice = sum(
                    this in here or this in exercises[:n] for n, this in enumerate(exercises)
                )
                here.update(exercises)
                if twice:
                    counted[made.letter] = twice
                if twice or before & {*exercises}:
                    repeated += 1
                    left = possible(section, keys) - before - own - shown
                    assert not left, (name, one.form, made.letter)
            assert dict(one.repeats.sections) == counted
            assert one.repeats.shared == len(before & own)
            before |= own
    assert repeated  # or nothing was looked at
