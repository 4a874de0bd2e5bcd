"""Triad quality: triads on the degrees of a key, each major, minor, diminished or augmented.

All four occur: where the key has no such triad on a degree, its notes are altered.
"""

from __future__ import annotations

from functools import cache
from random import Random

from workbook.exercises import clefs, common
from workbook.exercises.model import SIDES, Exercise, Family, Request, give
from workbook.music.chords import inversion
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, above, letter
from workbook.music.qualities import QUALITIES

WORDS = {
    "major": ("major", ("M", "maj")),
    "minor": ("minor", ("m", "min")),
    "diminished": ("dim", ("°", "d", "diminished")),
    "augmented": ("aug", ("+", "A", "augmented")),
}
"""The answer for each quality, and what else is accepted."""
COLUMNS = 6


def triad(root: Pitch, quality: str) -> tuple[Pitch, ...]:
    """Three pitches in root position.

    Raises ValueError if one needs more than a double sharp or flat.
    """
    return tuple(above(root, tone) for tone in QUALITIES[quality].tones)


def triads(key: Key, rng: Random) -> list[tuple[str, Pitch]]:
    """Quality and root of each column: all four qualities, no root twice.

    Roots are notes of the key near its tonic in octave 4; double sharps and flats
    are avoided where others can be found, and major and minor triads are the key's
    own.
    """
    kinds = [*WORDS, *rng.choices(list(WORDS), k=COLUMNS - len(WORDS))]
    # those that the key hardly has choose first
    kinds.sort(key=lambda kind: kind in ("major", "minor"))
    found: dict[str, tuple[str, Pitch]] = {}
    for kind in kinds:
        root = rng.choice(
            clefs.best(ranked for ranked in _ranked(key, kind) if letter(ranked[1]) not in found)
        )
        found[letter(root)] = kind, root
    return rng.sample(list(found.values()), COLUMNS)


@cache
def _ranked(key: Key, kind: str) -> list[tuple[tuple, Pitch]]:
    """Each note of the key that can be a root, after its rank, low for the better."""
    return clefs.ranked(
        key, clefs.key_notes(key), lambda root: triad(root, kind), own=kind in ("major", "minor")
    )


def make(request: Request, rng: Random) -> Exercise:
    inverted = request.settings.get("inversions", False)
    printed = request.settings.get("signature", "accidentals") == "printed"
    kinds: dict[str, list[str]] = {}
    music: dict[str, list[clefs.Music]] = {}
    for side in SIDES[request.hand]:
        chosen = triads(request.key, rng)
        turns = rng.sample((0, 1, 2) * 2, COLUMNS) if inverted else [0] * COLUMNS
        kinds[side] = [kind for kind, _ in chosen]
        music[side] = [_music(kind, root, turn) for (kind, root), turn in zip(chosen, turns)]
    sides = clefs.settle(request, music, rng)
    blanks = [
        blank
        for side, columns in sides.items()
        for blank in common.texts(
            "quality",
            side,
            [WORDS[kind][0] for kind in kinds[side]],
            columns,
            [WORDS[kind][1] for kind in kinds[side]],
        )
    ]
    name = common.label if printed else common.heading
    return Exercise(
        "triad-quality",
        request.key,
        request.hand,
        "Write what each triad is: major, minor, dim or aug.",
        name(
            request, "triads and inversions" if inverted else "triads in root position", by="clef"
        ),
        common.staves(sides, "1", clefs.bars(COLUMNS)),
        give(tuple(blanks), request.given, rng),
        signed=printed,
    )


def _music(kind: str, root: Pitch, turn: int) -> clefs.Music:
    def notes(at: int) -> tuple[Pitch, ...]:
        return inversion(triad(clefs.moved(root, at - 4), kind), turn)

    return notes


FAMILY = Family(
    "triad-quality",
    "Triad quality",
    ("quality",),
    {"inversions": (False, True), "signature": clefs.SIGNATURES},
    make,
    by="clef",
)
