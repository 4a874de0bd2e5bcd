"""Chord building: the lowest note of a triad is printed, and the student adds the others.

A label names the quality of the triad and its position, in words or in figures.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import NOTES, AnswerKind
from workbook.exercises.blanks import note_blanks, text_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import SIDES, Exercise, Request
from workbook.exercises.registers import fit_columns
from workbook.exercises.settings import SIGNATURE, Setting
from workbook.exercises.spellings import Rank, best, key_notes, moved, ranked
from workbook.exercises.staves import bar_lines, to_write, written_staves
from workbook.exercises.triads import WORDS, triad
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
    """A triad of a ``quality`` over its lowest note, ``turn`` 0 to 2 for root position to 2nd."""

    bass: Pitch
    quality: str
    turn: int

    def notes(self, octave: int) -> tuple[Pitch, ...]:
        """Its notes low to high, in ``octave`` what is in octave 4 as the bass."""
        bass = moved(self.bass, octave - 4)
        root = above(bass, f"-{QUALITIES[self.quality].tones[self.turn]}")
        return inversion(triad(root, self.quality), self.turn)


def chords(key: Key, kinds: tuple[str, ...], rng: Random) -> list[Chord]:
    """A chord for each column, on different notes of the key, with all ``kinds`` and positions.

    The notes to be written belong to the key where they can, and have no double sharps or
    flats where there are others.
    """
    wanted = [*kinds, *rng.choices(kinds, k=COLUMNS - len(kinds))]
    turns = rng.sample((0, 1, 2) * 2, COLUMNS)
    found: dict[str, Chord] = {}
    for kind, turn in zip(sorted(wanted, key=lambda kind: kind in ("major", "minor")), turns):
        chord = rng.choice(
            best(
                ranked for ranked in _ranked(key, kind, turn) if letter(ranked[1].bass) not in found
            )
        )
        found[letter(chord.bass)] = chord
    return rng.sample(list(found.values()), COLUMNS)


@cache
def _ranked(key: Key, kind: str, turn: int) -> list[tuple[Rank, Chord]]:
    """A chord over each note of the key that can bear one, with its rank before it."""
    chords = (Chord(bass, kind, turn) for bass in key_notes(key))
    return ranked(key, chords, lambda chord: chord.notes(4), own=True)


def _make(request: Request, rng: Random) -> Exercise:
    settings = request.settings
    signature, words = settings["signature"], settings["label"]
    kinds = _QUALITIES[settings["qualities"]]
    chosen = {side: chords(request.key, kinds, rng) for side in SIDES[request.hand]}
    sides = fit_columns(
        request, {side: [chord.notes for chord in row] for side, row in chosen.items()}, rng
    )
    staves = written_staves(
        sides,
        bar_lines(COLUMNS),
        rng.sample(range(COLUMNS), min(request.given, COLUMNS - 1)),
        part=slice(1, None),
    )
    labels = [
        blank
        for side, row in chosen.items()
        for blank in text_blanks(
            "triad", side, [_label(chord, words) for chord in row], sides[side], given=True
        )
    ]
    name = wording.label if signature == "printed" else wording.heading
    return Exercise(
        request.key,
        request.hand,
        f"{_TASKS[words]} {wording.accidentals_task(signature, to_write(staves))}",
        name(request, by="clef"),
        staves,
        (*labels, *note_blanks(staves, request.naming)),
        signed=signature == "printed",
    )


def _label(chord: Chord, words: str) -> str:
    quality, _ = WORDS[chord.quality]
    if words == "figure":
        return f"{quality} triad, {_FIGURES[chord.turn]}"
    return f"{quality} triad, {POSITIONS[chord.turn]}"


TRIAD = AnswerKind("triad", "a triad’s quality and position", 24.0, row="above", figured="words")
FAMILY = Family(
    name="chord-building",
    title="Chord building",
    kinds=(NOTES,),
    settings={
        "label": Setting(
            tuple(_TASKS),
            "position",
            skill=True,
            about="`position` names it (root, 1st, 2nd), `figure` gives figures (5/3, 6, 6/4)",
        ),
        "qualities": Setting(tuple(_QUALITIES), "major and minor", skill=True, about="which occur"),
        "signature": SIGNATURE,
    },
    maker=_make,
    by="clef",
    others=(TRIAD,),
    apart=True,
)
