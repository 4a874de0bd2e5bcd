"""Triad quality: triads on notes of a key, each major, minor, diminished or augmented.

All four occur, or only major and minor ones: where the key has no such triad on a note, the
others are altered.
"""

from __future__ import annotations

from functools import cache
from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import QUALITY
from workbook.exercises.blanks import give, text_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import SIDES, Exercise, Request
from workbook.exercises.registers import ColumnAt, fit_columns
from workbook.exercises.settings import SIGNATURE, Setting
from workbook.exercises.spellings import Rank, best, key_notes, moved, ranked
from workbook.exercises.staves import bar_lines, printed_staves
from workbook.exercises.triads import WORDS, triad
from workbook.music.chords import inversion
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, letter

COLUMNS = 6
_QUALITIES = {"all": tuple(WORDS), "major and minor": ("major", "minor")}


def triads(key: Key, qualities: str, rng: Random) -> list[tuple[str, Pitch]]:
    """Quality and root of each column: each of the ``qualities``, and no root twice.

    Roots are notes of the key near its tonic in octave 4. Double sharps and flats are
    avoided where there are others, and major and minor triads belong to the key.
    """
    names = _QUALITIES[qualities]
    kinds = [*names, *rng.choices(names, k=COLUMNS - len(names))]
    # the qualities that the key hardly has choose first
    kinds.sort(key=lambda kind: kind in ("major", "minor"))
    found: dict[str, tuple[str, Pitch]] = {}
    for kind in kinds:
        root = rng.choice(
            best(ranked for ranked in _ranked(key, kind) if letter(ranked[1]) not in found)
        )
        found[letter(root)] = kind, root
    return rng.sample(list(found.values()), COLUMNS)


@cache
def _ranked(key: Key, kind: str) -> list[tuple[Rank, Pitch]]:
    """The notes of the key that can be a root, each with its rank before it."""
    return ranked(
        key, key_notes(key), lambda root: triad(root, kind), own=kind in ("major", "minor")
    )


def _make(request: Request, rng: Random) -> Exercise:
    inverted = request.settings["inversions"]
    printed = request.settings["signature"] == "printed"
    kinds: dict[str, list[str]] = {}
    music: dict[str, list[ColumnAt]] = {}
    for side in SIDES[request.hand]:
        chosen = triads(request.key, request.settings["qualities"], rng)
        turns = rng.sample((0, 1, 2) * 2, COLUMNS) if inverted else [0] * COLUMNS
        kinds[side] = [kind for kind, _ in chosen]
        music[side] = [_music(kind, root, turn) for (kind, root), turn in zip(chosen, turns)]
    sides = fit_columns(request, music, rng)
    blanks = [
        blank
        for side, columns in sides.items()
        for blank in text_blanks(
            "quality",
            side,
            [WORDS[kind][0] for kind in kinds[side]],
            columns,
            [WORDS[kind][1] for kind in kinds[side]],
        )
    ]
    name = wording.label if printed else wording.heading
    return Exercise(
        request.key,
        request.hand,
        f"Write what each triad is: {_words(request.settings['qualities'])}.",
        name(
            request, "triads and inversions" if inverted else "triads in root position", by="clef"
        ),
        printed_staves(sides, "1", bar_lines(COLUMNS)),
        give(blanks, request.given, rng),
        signed=printed,
    )


def _words(qualities: str) -> str:
    """``"major or minor"``: the answers there can be."""
    *others, last = (WORDS[kind][0] for kind in _QUALITIES[qualities])
    return f"{', '.join(others)} or {last}"


def _music(kind: str, root: Pitch, turn: int) -> ColumnAt:
    def notes(at: int) -> tuple[Pitch, ...]:
        return inversion(triad(moved(root, at - 4), kind), turn)

    return notes


FAMILY = Family(
    name="triad-quality",
    title="Triad quality",
    kinds=(QUALITY,),
    settings={
        "qualities": Setting(tuple(_QUALITIES), "all", skill=True, about="which occur"),
        "inversions": Setting((False, True), False, skill=True, about="whether they occur"),
        "signature": SIGNATURE,
    },
    maker=_make,
    by="clef",
    apart=True,
)
