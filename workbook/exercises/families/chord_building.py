"""Chord building: the lowest note is printed, the student adds the rest of the triad.

A label names the triad's quality and says how it stands: root position
or which inversion, in words or in figures.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from random import Random

from workbook.exercises import clefs, common
from workbook.exercises.families.triad_quality import WORDS, triad
from workbook.exercises.model import SIDES, Exercise, Family, Request
from workbook.music.chords import POSITIONS, inversion
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, above, letter
from workbook.music.qualities import QUALITIES

COLUMNS = 5
_FIGURES = ("5/3", "6", "6/4")
_QUALITIES = {"major and minor": ("major", "minor"), "all": tuple(WORDS)}
_TASKS = {
    "position": "Add two notes above the printed one to make the chord: in root position, "
    "1st or 2nd inversion.",
    "figure": "Add two notes above the printed one to make the chord that the figures ask for.",
}


@dataclass(frozen=True)
class Chord:
    """A triad of a ``quality`` over its lowest note, ``turn`` 0 to 2 for its position."""

    bass: Pitch
    quality: str
    turn: int

    def notes(self, octave: int) -> tuple[Pitch, ...]:
        """Low to high, ``octave`` for the bass of octave 4."""
        bass = clefs.moved(self.bass, octave - 4)
        root = above(bass, f"-{QUALITIES[self.quality].tones[self.turn]}")
        return inversion(triad(root, self.quality), self.turn)


def chords(key: Key, kinds: tuple[str, ...], rng: Random) -> list[Chord]:
    """One for each column, on different notes of the key, all ``kinds`` and positions.

    The written notes are of the key where they can be, and bear no double sharps or
    flats where others are to be had.
    """
    wanted = [*kinds, *rng.choices(kinds, k=COLUMNS - len(kinds))]
    turns = rng.sample((0, 1, 2) * 2, COLUMNS)
    found: dict[str, Chord] = {}
    for kind, turn in zip(sorted(wanted, key=lambda kind: kind in ("major", "minor")), turns):
        chord = rng.choice(
            clefs.best(
                ranked for ranked in _ranked(key, kind, turn) if letter(ranked[1].bass) not in found
            )
        )
        found[letter(chord.bass)] = chord
    return rng.sample(list(found.values()), COLUMNS)


@cache
def _ranked(key: Key, kind: str, turn: int) -> list[tuple[tuple, Chord]]:
    """A chord over each note of the key that bears one, after its rank, low for the better."""
    chords = (Chord(bass, kind, turn) for bass in clefs.key_notes(key))
    return clefs.ranked(key, chords, lambda chord: chord.notes(4), own=True)


def make(request: Request, rng: Random) -> Exercise:
    settings = request.settings
    signature, words = settings.get("signature", "accidentals"), settings.get("label", "position")
    kinds = _QUALITIES[settings.get("qualities", "major and minor")]
    chosen = {side: chords(request.key, kinds, rng) for side in SIDES[request.hand]}
    sides = clefs.settle(
        request, {side: [chord.notes for chord in row] for side, row in chosen.items()}, rng
    )
    staves = common.written(
        sides,
        clefs.bars(COLUMNS),
        rng.sample(range(COLUMNS), min(request.given, COLUMNS - 1)),
        part=slice(1, None),
    )
    labels = [
        blank
        for side, row in chosen.items()
        for blank in common.texts(
            "triad", side, [_label(chord, words) for chord in row], sides[side], given=True
        )
    ]
    name = common.label if signature == "printed" else common.heading
    return Exercise(
        "chord-building",
        request.key,
        request.hand,
        f"{_TASKS[words]} {clefs.signs_task(signature)}",
        name(request, by="clef"),
        staves,
        (*labels, *common.note_blanks(staves, request.naming)),
        signed=signature == "printed",
    )


def _label(chord: Chord, words: str) -> str:
    quality, _ = WORDS[chord.quality]
    if words == "figure":
        return f"{quality} triad, {_FIGURES[chord.turn]}"
    return f"{quality} triad, {POSITIONS[chord.turn]}"


FAMILY = Family(
    "chord-building",
    "Chord building",
    ("notes",),
    {"label": tuple(_TASKS), "qualities": tuple(_QUALITIES), "signature": clefs.SIGNATURES},
    make,
    by="clef",
)
