"""Fingering by search: how near it comes to the conventions, and that it is exact.

DEVELOPERS.md has the figures.
"""

from itertools import pairwise, product

import lines
import pytest
import rules

from workbook.fingering import search
from workbook.fingering.conventions import stretch, traditional
from workbook.music.chords import harmony, inversion
from workbook.music.keys import ALL_KEYS, parse_key
from workbook.music.pitch import pitch, semitone
from workbook.music.scales import ascending

TABLE = traditional()
DEGREES = {"scale": 7, "arpeggio": 3, "seventh": 4}


def agreement(octaves):
    """Kind to [first choice is conventional, one of the first three is, entries].

    Entries of one sound (C sharp and D flat major) are one; a fingering is
    conventional if it is the table's or an alternative that the table lists.
    """
    sounds = {}
    for (subject, hand), versions in TABLE.entries.items():
        if subject[0] not in DEGREES:
            continue
        degrees = DEGREES[subject[0]]
        notes = rules.run(subject)[: degrees * octaves + 1]
        sound = (subject[0], hand, tuple(semitone(p) % 12 for p in notes))
        known = sounds.setdefault(sound, (notes, set()))[1]
        known |= {stretch(version, hand, octaves, degrees) for version in versions}
    found = {}
    for (kind, hand, _), (notes, known) in sounds.items():
        choices = ["".join(c.fingers) for c in lines.best(notes, hand, 3)]
        count = found.setdefault(kind, [0, 0, 0])
        count[0] += choices[0] in known
        count[1] += any(choice in known for choice in choices)
        count[2] += 1
    return found


def test_nine_in_ten_of_one_octave_are_within_the_first_three():
    found = agreement(1)
    first, three, of = map(sum, zip(*found.values()))
    assert of == 288
    assert three >= 0.9 * of and first >= 0.75 * of, found
    assert all(three >= 0.9 * of for _, three, of in found.values()), found


def test_two_octaves_for_the_record():
    first, three, of = map(sum, zip(*agreement(2).values()))
    assert of == 288 and first >= 90 and three >= 150, (first, three)


def test_the_search_is_exact():
    """The same three fingerings as from trying all of them."""
    notes = [pitch(name) for name in ("D4", "F#4", "G4", "Eb4", "C5")]
    keys = [semitone(p) for p in notes]

    def points(fingers):
        total = sum(lines.alone(k, f) for k, f in zip(keys, fingers))
        for low, high, a, b in zip(keys, keys[1:], fingers, fingers[1:]):
            total += lines.step(lines.is_black(low), lines.is_black(high), high - low, a, b)
        for i in range(3):
            total += lines.position_change(
                keys[i + 1] - keys[i], keys[i + 2] - keys[i], *fingers[i : i + 3]
            )
        return (
            total
            + lines.end(keys[0], fingers[0], keys[1] < keys[0])
            + lines.end(keys[-1], fingers[-1], keys[-1] > keys[-2])
        )

    every = [
        line for line in product(range(1, 6), repeat=5) if all(a != b for a, b in pairwise(line))
    ]
    expected = sorted((points(line), line) for line in every)[:3]
    assert [(c.points, tuple(map(int, c.fingers))) for c in lines.best(notes, "right")] == expected


def test_hands_mirror_each_other():
    right = lines.best(ascending(parse_key("C major"), "major", 4), "right", 5)
    mirror = [pitch(name) for name in ("E4", "D4", "C4", "B3", "A3", "G3", "F3", "E3")]
    assert lines.best(mirror, "left", 5) == right


def test_repeated_and_single_notes():
    notes = [pitch(name) for name in ("C4", "C4", "D4", "E4", "E4", "C4")]
    fingers = lines.best(notes, "right")[0].fingers
    assert fingers[0] == fingers[1] and fingers[3] == fingers[4]
    assert lines.best([pitch("C4")], "right")[0].fingers == ("1",)
    with pytest.raises(ValueError):
        lines.best([], "right")


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("position", ["root", "1st", "2nd"])
def test_triads_are_fingered_as_the_convention_has_it(hand, position):
    shape = "".join(f.finger for f in TABLE.chord(position, hand))
    turn = ("root", "1st", "2nd").index(position)
    agree = 0
    for key in ALL_KEYS:
        chord = inversion(harmony(key, "I").tones(3), turn)
        choices = [c.fingers[0] for c in search.best_chords([chord], hand)]
        assert shape in choices, (key, choices)
        agree += choices[0] == shape
    assert agree >= 25, agree


def test_chords_in_a_row():
    chords = [[pitch(n) for n in names.split()] for names in ("C4 E4 G4", "C4 F4 A4", "B3 F4 G4")]
    assert search.best_chords(chords, "right")[0].fingers == ("135", "135", "145")
    assert search.best_chords(chords, "left")[0].fingers == ("531", "521", "521")
    with pytest.raises(ValueError):
        search.best_chords([[pitch("C4")] * 6], "right")
