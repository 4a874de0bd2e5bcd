"""Rules that the conventions meet, and every exception by name.

In: a table of fingerings. Out: its breaches of the rules, each with the entry, the
hand and the notes. ``EXCEPTIONS`` are the breaches that stand, with the reason.

All rules are asked of fingerings over two octaves upwards, a digit a note.
Sources: for the thumb, the Evansville page named in ``traditional.toml`` (the
thumb on the first white note of each white group, left hand on the last) and
Kelley, "Piano Arpeggio Fingerings" (robertkelleyphd.com: thumb on white keys
except where there are none; each octave has the same fingering; the fifth finger
only where a run starts, stops or turns). Groups of three and four with one fourth
finger an octave, and hands that mirror each other: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from lines import is_black

from workbook.fingering.difficulty import mirrored
from workbook.fingering.table import Entries, Subject
from workbook.music.chords import POSITIONS, TRIAD_POSITIONS, harmony, inversion
from workbook.music.keys import ALL_MAJOR, Key
from workbook.music.pitch import Pitch, above, pitch, semitone
from workbook.music.scales import ascending


@dataclass(frozen=True)
class Breach:
    """A fingering that a rule forbids: which rule, which entry, whose hand, its digits."""

    rule: str
    subject: Subject
    hand: str
    digits: str


def thumb_on_white(keys: Sequence[int], digits: str) -> bool:
    """The thumb stays off the black keys, unless there are only black ones."""
    return all(is_black(key) for key in keys) or not any(
        digit == "1" and is_black(key) for key, digit in zip(keys, digits)
    )


def same_in_each_octave(keys: Sequence[int], digits: str) -> bool:
    """A note has the same finger in each octave, but for the two ends of the run."""
    inside = dict(zip(keys[1:-1], digits[1:-1]))
    return all(inside.get(key + 12, digit) == digit for key, digit in inside.items())


def fifth_at_an_end(keys: Sequence[int], digits: str) -> bool:
    """The fifth finger only where the run starts or stops."""
    return "5" not in digits[1:-1]


def one_fourth_finger(keys: Sequence[int], digits: str) -> bool:
    """A scale has the fourth finger once in each octave, ends apart."""
    return digits[1:8].count("4") == 1 == digits[7:14].count("4")


def threes_and_fours(keys: Sequence[int], digits: str) -> bool:
    """Between thumbs a scale has groups of three and of four notes in turn."""
    thumbs = [index for index, digit in enumerate(digits[:-1]) if digit == "1" and index]
    groups = [b - a for a, b in pairwise(thumbs)]
    return set(groups) <= {3, 4} and all(a != b for a, b in pairwise(groups))


def no_finger_twice(keys: Sequence[int], digits: str) -> bool:
    """Neighbouring notes have different fingers."""
    return all(a != b for a, b in pairwise(digits))


EVERY_RUN = (thumb_on_white, same_in_each_octave, fifth_at_an_end, no_finger_twice)
SCALES = (*EVERY_RUN, one_fourth_finger, threes_and_fours)

_WHITE = (
    "one of the two mirror keys begins on a white key, where a hand keeps the fingering of C major"
)
_FIRST = (
    "before the first thumb the run may begin with 2 and 3 where 3 and 4 stand later, since "
    "no thumb has passed yet; so it does in the other hand after its last thumb"
)
_TWO_BLACK = (
    "Ab major",
    "F# minor natural",
    "F# minor harmonic",
    "C# minor natural",
    "C# minor harmonic",
    "G# minor natural",
    "G# minor harmonic",
    "G# minor melodic",
    "Ab minor natural",
    "Ab minor harmonic",
    "Ab minor melodic",
)
EXCEPTIONS: dict[tuple[str, str, str], str] = {
    **{
        ("thumbs_mirror", name, "right"): _WHITE
        for name in ("C major", "G major", "F major", "Bb major", "Eb major")
    },
    **{
        (rule, name, "right"): _FIRST
        for name in _TWO_BLACK
        for rule in ("same_in_each_octave", "one_fourth_finger")
    },
    **{
        ("same_in_each_octave", f"diminished seventh on {root}", "right"): _FIRST
        for root in ("D#", "A#")
    },
    **{
        ("same_in_each_octave", name, "left"): _FIRST
        for name in (
            "dominant seventh on A#",
            "diminished seventh on C#",
            "diminished seventh on F#",
        )
    },
    **{
        ("same_in_each_octave", f"dominant seventh on {of}", hand): _FIRST
        for hand, several in (
            ("right", ("B 1st", "F# 1st", "D# 3rd", "G# 3rd", "A# 3rd")),
            ("left", ("F# 1st", "B 2nd", "D# 3rd", "G# 3rd")),
        )
        for of in several
    },
}
"""Breaches that stand: rule, entry (``named``), hand, to the reason.

Mirrored thumbs are asked of the right hand and of the left hand in the mirror key.
"""
_PIANO_KEYS = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"]


def run(subject: Subject) -> tuple[Pitch, ...]:
    """Two octaves upwards of what a scale, arpeggio or seventh entry is about."""
    kind, of, more = subject
    if kind == "scale":
        return ascending(of, more, 3, 2)
    if kind == "arpeggio":
        tones = inversion(harmony(of, "I").tones(3), TRIAD_POSITIONS.index(more))
    else:
        root = pitch("C3") if more == 0 else above(pitch("C3"), _ROOTS[more])
        turned = kind == "seventh inversion"
        tones = tuple(above(root, step) for step in _SEVENTHS["dominant" if turned else of])
        tones = inversion(tones, POSITIONS.index(of)) if turned else tones
    up = tones + tuple(above(tone, "P8") for tone in tones)
    return (*up, above(up[len(tones)], "P8"))


_CHORDS = ("arpeggio", "seventh", "seventh inversion")
_ROOTS = ("P1", "m2", "M2", "m3", "M3", "P4", "A4", "P5", "m6", "M6", "m7", "M7")
_SEVENTHS = {"dominant": ("P1", "M3", "P5", "m7"), "diminished": ("P1", "m3", "d5", "d7")}


def breaches(entries: Entries) -> list[Breach]:
    """Every breach of a rule by any fingering of the table, alternatives included."""
    found = []
    for (subject, hand), versions in entries.items():
        if subject[0] not in ("scale", *_CHORDS):
            continue
        keys = [semitone(note) for note in run(subject)]
        rules = SCALES if subject[0] == "scale" else EVERY_RUN
        found += [
            Breach(rule.__name__, subject, hand, digits)
            for digits in versions
            for rule in rules
            if not rule(keys, digits)
        ]
    return [*found, *thumbs_mirror(entries), *arpeggios_mirror(entries)]


def thumbs_mirror(entries: Entries) -> Iterator[Breach]:
    """The keyboard is its own mirror image around D (and A flat), and so is a major
    scale's collection of notes, sharps for flats: then the right hand's thumbs are the
    mirror image of the left hand's.
    """
    for key in ALL_MAJOR:
        other = next(k for k in ALL_MAJOR if k.fifths == -key.fifths)
        right, left = ("scale", key, "major"), ("scale", other, "major")
        if (right, "right") in entries and (left, "left") in entries:
            digits = entries[right, "right"][0]
            image = {mirrored(place) % 12 for place in _thumbs(key, digits)}
            if image != _thumbs(other, entries[left, "left"][0]):
                yield Breach("thumbs_mirror", right, "right", digits)


def _thumbs(key: Key, digits: str) -> set[int]:
    """Semitones above C, 0 to 11, where the thumb stands within a two-octave scale."""
    notes = ascending(key, "major", 3, 2)
    return {semitone(note) % 12 for note, digit in list(zip(notes, digits))[1:-1] if digit == "1"}


def arpeggios_mirror(entries: Entries) -> Iterator[Breach]:
    """A chord upwards in the right hand is its mirror image downwards in the left: one
    fingering that the table accepts for the one must be one that it accepts for the other.
    """
    left = {
        tuple(mirrored(semitone(note)) % 12 for note in reversed(run(subject))): {
            digits[::-1] for digits in versions
        }
        for (subject, hand), versions in entries.items()
        if hand == "left" and subject[0] in _CHORDS
    }
    for (subject, hand), versions in entries.items():
        if hand != "right" or subject[0] not in _CHORDS:
            continue
        image = left.get(tuple(semitone(note) % 12 for note in run(subject)))
        if image is not None and not image & set(versions):
            yield Breach("arpeggios_mirror", subject, hand, versions[0])


def unexplained(entries: Entries) -> list[Breach]:
    """The breaches that no exception names."""
    return [
        breach
        for breach in breaches(entries)
        if (breach.rule, named(breach.subject), breach.hand) not in EXCEPTIONS
    ]


def named(subject: Subject) -> str:
    """``"A minor melodic"``, ``"Eb minor 1st"``, ``"dominant seventh on F#"``: an entry."""
    if subject[0] == "seventh inversion":
        return f"dominant seventh on {_PIANO_KEYS[subject[2]]} {subject[1]}"
    if subject[0] == "seventh":
        return f"{subject[1]} seventh on {_PIANO_KEYS[subject[2]]}"
    return " ".join(str(part) for part in subject[1:] if part not in ("major", "root"))
