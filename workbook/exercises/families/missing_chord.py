"""Missing chord: a progression with numerals in which the student writes a chord."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations
from random import Random

from workbook.exercises import harmonies, wording
from workbook.exercises.answers import NOTES, NUMERAL
from workbook.exercises.blanks import note_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.settings import FIFTH, START_POSITION, Setting, Settings
from workbook.exercises.staves import written_staves
from workbook.music import voicings
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, alteration, letter, semitone
from workbook.music.progressions import Step
from workbook.music.shapes import sound


def nearest(line: tuple[Step, ...], column: int) -> tuple[tuple[Pitch, ...], ...]:
    """The close positions of a chord that are reached from its neighbours by least motion."""
    chord, notes = line[column].harmony, line[column].notes
    key, beside = chord.key, [line[n].notes for n in (column - 1, column + 1) if 0 <= n < len(line)]
    found = []
    for at in (3, 4, 5):
        for voicing in voicings.close(chord, len(notes) == len(chord.tones(4)), -12, 12):
            pitches = tuple(sound(key, at, tone) for tone in voicing.voices)
            if all(len(pitches) == len(other) for other in beside) and len(pitches) == len(notes):
                found.append(
                    (
                        sum(
                            abs(semitone(p) - semitone(q))
                            for other in beside
                            for p, q in zip(other, pitches)
                        ),
                        pitches,
                    )
                )
    least = min((motion for motion, _ in found), default=0)
    return tuple(dict.fromkeys(pitches for motion, pitches in found if motion == least))


@lru_cache(maxsize=1024)
def holes(line: tuple[Step, ...]) -> tuple[int, ...]:
    """The columns but the first in which least motion leads to the chord and to no other,
    and whose chord no other column shows, in whatever position.
    """
    roots = [(letter(root), alteration(root)) for root in (s.harmony.root(4) for s in line)]
    return tuple(
        column
        for column in range(1, len(line))
        if nearest(line, column) == (line[column].notes,) and roots.count(roots[column]) == 1
    )


def _pairs(can: Sequence[int]) -> list[tuple[int, int]]:
    """Two columns that may be missing together: with a printed chord between them."""
    return [(one, other) for one, other in combinations(can, 2) if other - one > 1]


def _make(request: Request, rng: Random) -> Exercise:
    line, sides = harmonies.columns(request, rng)
    can = holes(line)  # the same in every octave
    missing = (
        set(rng.choice(_pairs(can))) if request.settings["missing"] == 2 else {rng.choice(can)}
    )
    shown = set(range(len(line))) - missing
    staves = written_staves(sides, harmonies.bars(len(line), request.key), shown)
    first = next(iter(sides))
    labels = tuple(
        Blank("numeral", first, column, None, sides[first][column], answer, given=True)
        for column, (answer, _) in enumerate(harmonies.numeral_answers(line))
    )
    count = "chord" if len(missing) == 1 else "chords"
    short = [
        line[column].harmony.root_position.numeral
        for column in sorted(missing)
        if len(line[column].notes) < len(line[column].harmony.tones(4))
    ]
    return Exercise(
        request.key,
        request.hand,
        f"Write the missing {count}. Move each note as little as you can."
        + (
            f" Leave the fifth out of {wording.listed(list(dict.fromkeys(short)))}."
            if short
            else ""
        ),
        wording.label(request),
        staves,
        labels + note_blanks(staves, request.naming),
    )


def _problem(settings: Settings, key: Key, hand: str) -> str:
    if wrong := harmonies.problem(settings, key, hand):
        return wrong
    can = holes(harmonies.steps(settings, key, 4))
    if can and settings["missing"] == 2 and not _pairs(can):
        return (
            "no two chords of this progression can be missing together; write missing = 1, or "
            "another progression or start"
        )
    if not can:
        return (
            "no chord of this progression can be found by least motion alone; "
            "write another progression or start"
        )
    return ""


FAMILY = Family(
    name="missing-chord",
    title="Missing chord",
    kinds=(NOTES,),
    settings={
        "numerals": harmonies.NUMERALS,
        "start": START_POSITION,
        "fifth": FIFTH,
        "missing": Setting((1, 2), 1, about="chords"),
    },
    maker=_make,
    rule=_problem,
    others=(NUMERAL,),
    gaps=True,
)
