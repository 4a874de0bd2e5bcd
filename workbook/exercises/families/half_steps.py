"""Half steps: how many there are between two notes of the key, one after the other.

With two staves, each has notes of its own.
"""

from __future__ import annotations

from functools import cache
from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import COUNT
from workbook.exercises.blanks import give
from workbook.exercises.family import Family
from workbook.exercises.model import SIDES, Blank, Event, Exercise, Request, Staff
from workbook.exercises.registers import ColumnAt, fit_columns
from workbook.exercises.settings import SIGNATURE, Setting
from workbook.exercises.spellings import key_notes, moved
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, semitone, staff_degree
from workbook.music.register import CLEFS

MEASURES = 4


def pairs(key: Key, most: int, rng: Random) -> list[tuple[Pitch, Pitch]]:
    """Two notes for each measure, low and high, 1 to ``most`` half steps apart.

    Every distance comes once before any comes again. The low note is near the tonic in
    octave 4.
    """
    counts = range(1, most + 1)
    dealt = [count for _ in range(MEASURES // most + 1) for count in rng.sample(counts, most)]
    return [rng.choice(_apart(key)[count]) for count in dealt[:MEASURES]]


@cache
def _apart(key: Key) -> dict[int, list[tuple[Pitch, Pitch]]]:
    """Two notes of the key by their half steps, the second on a higher line or space."""
    low = key_notes(key)
    found: dict[int, list[tuple[Pitch, Pitch]]] = {}
    for a in low:
        for b in (*low, *(moved(p, 1) for p in low)):
            if staff_degree(a) < staff_degree(b):
                found.setdefault(semitone(b) - semitone(a), []).append((a, b))
    return found


def _make(request: Request, rng: Random) -> Exercise:
    most = request.settings["most"]
    printed = request.settings["signature"] == "printed"
    music = {
        side: [_music(*pair) for pair in pairs(request.key, most, rng)]
        for side in SIDES[request.hand]
    }
    staves, blanks = [], []
    for side, columns in fit_columns(request, music, rng).items():
        events = []
        for measure, pair in enumerate(columns):
            first, second = rng.sample(pair, 2)
            clef, after = CLEFS[side], "|." if measure == MEASURES - 1 else "|"
            # the box stands beneath an empty column between the two notes
            events += [
                Event((first,), clef, "1"),
                Event((), clef, "1"),
                Event((second,), clef, "1", after),
            ]
            count = semitone(pair[1]) - semitone(pair[0])
            blanks.append(Blank("count", side, 3 * measure + 1, None, (first, second), str(count)))
        staves.append(Staff(side, tuple(events)))
    words = f"{request.naming.half_step}s"
    name = wording.label if printed else wording.heading
    return Exercise(
        request.key,
        request.hand,
        f"Count the {words} from the first note to the second. Write the number.",
        name(request, f"{words} up or down", by="clef"),
        tuple(staves),
        give(blanks, request.given, rng),
        signed=printed,
    )


def _music(low: Pitch, high: Pitch) -> ColumnAt:
    return lambda at: (moved(low, at - 4), moved(high, at - 4))


FAMILY = Family(
    name="half-steps",
    title="Half steps",
    british="Semitones",
    kinds=(COUNT,),
    settings={
        "most": Setting((4, 7, 12), 12, about="half steps"),
        "signature": SIGNATURE,
    },
    maker=_make,
    by="clef",
    apart=True,
)
