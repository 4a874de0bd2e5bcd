"""Harmonizing: the chords that may stand under a melody, found by search, best first.

In: a melody cut into measures, each of which has one chord, and the chords to choose from.
Out: every harmonization that obeys the rules, the best first.

A chord has the first note of its measure; the others are its notes too, or passing and
neighbor tones. The first chord is I, the last two are a dominant and I; in between each goes
where its function lets it (Open Music Theory, "Introduction to harmony, cadences, and phrase
endings" and "Tonic, strong predominant, dominant", from memory). What is best: common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from workbook.music.chords import Harmony
from workbook.music.embellishments import NEIGHBOR, PASSING, contains, embellishment
from workbook.music.pitch import Pitch

GOES_TO = {1: (1, 2, 4, 5, 6), 2: (2, 5), 4: (1, 2, 4, 5), 5: (1, 5, 6), 6: (2, 4, 5, 6)}
"""The degrees to which the chord on a degree goes."""
_REPEATED, _PLAGAL, _PARALLEL, _PLAIN = 3, 2, 4, 1
"""Costs of a chord that stays, of IV before I, of a root or a fifth in the melody that moves
with its chord, and of V where V7 could be."""

Measures = Sequence[Sequence[Pitch]]


def fits(chord: Harmony, before: Pitch | None, notes: Sequence[Pitch], after: Pitch | None) -> bool:
    """Whether a chord can stand under the ``notes`` of a measure, between those beside it."""
    if not contains(chord, notes[0]):
        return False
    line = (before, *notes, after)
    for place, here in enumerate(notes[1:], 2):
        left, right = line[place - 1], line[place + 1]
        if not contains(chord, here) and (
            left is None
            or right is None
            or embellishment(left, here, right) not in (PASSING, NEIGHBOR)
        ):
            return False
    return True


def follows(here: Harmony, there: Harmony) -> bool:
    """Whether the second chord may come after the first; V7 does not go back to V."""
    loses = here.degree == there.degree and here.kind.seventh and not there.kind.seventh
    return there.degree in GOES_TO[here.degree] and not loses


def harmonizations(
    measures: Measures, choices: Sequence[Harmony], most: int = 1000
) -> list[tuple[Harmony, ...]]:
    """Every harmonization with one of the ``choices`` in each measure, the best first.

    The search ends after ``most`` of them.
    """
    can = [list(_fitting(measures, choices, number)) for number in range(len(measures))]
    found: list[tuple[Harmony, ...]] = []
    stack: list[tuple[Harmony, ...]] = [(chord,) for chord in can[0] if chord.degree == 1]
    while stack and len(found) < most:
        line = stack.pop()
        if len(line) == len(measures):
            if line[-1].degree == 1 and line[-2].degree == 5:
                found.append(line)
            continue
        stack += [(*line, chord) for chord in can[len(line)] if follows(line[-1], chord)]
    return sorted(found, key=lambda line: (cost(measures, line), [c.degree for c in line]))


def _fitting(measures: Measures, choices: Sequence[Harmony], number: int) -> Iterator[Harmony]:
    before = measures[number - 1][-1] if number else None
    after = measures[number + 1][0] if number + 1 < len(measures) else None
    return (chord for chord in choices if fits(chord, before, measures[number], after))


def cost(measures: Measures, line: Sequence[Harmony]) -> int:
    """How far a harmonization is from the best: chords change, and no voice doubles the melody
    in parallel octaves or fifths.
    """
    total = sum(
        _PLAIN for chord in line if chord.degree == 5 and not chord.kind.seventh
    ) + _PARALLEL * sum(
        _doubles(here, measures[number][-1], there, measures[number + 1][0])
        for number, (here, there) in enumerate(pairwise(line))
    )
    for here, there in pairwise(line):
        total += _REPEATED * (here.degree == there.degree)
        total += _PLAGAL * ((here.degree, there.degree) == (4, 1))
    return total


def _doubles(here: Harmony, p: Pitch, there: Harmony, q: Pitch) -> bool:
    """Whether the melody is the root of both chords or the fifth of both, and moves."""
    if p == q or here.degree == there.degree:
        return False
    return any(
        (p.step, q.step) == (here.tones(4)[tone].step, there.tones(4)[tone].step) for tone in (0, 2)
    )
