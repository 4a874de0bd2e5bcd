"""Accompaniment: chords in root position as patterns, named or written from numerals."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import NOTES, NUMERAL, AnswerKind
from workbook.exercises.blanks import Answer, give, note_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import Setting
from workbook.exercises.staves import printed_staves, written_staves
from workbook.music.chords import Harmony, harmony
from workbook.music.register import fewest_lines

PATTERNS: dict[str, tuple[tuple[int, ...], ...]] = {
    "blocked": ((0, 1, 2), (0, 1, 2), (0, 1, 2)),
    "broken": ((0,), (1,), (2,)),
    "alberti": ((0,), (2,), (1,), (2,)),
    "waltz": ((0,), (1, 2), (1, 2)),
}
"""Which notes of a triad, from the root up, sound one after the other: common practice, no
source."""
_ANSWERS: dict[str, Answer] = {
    "blocked": ("blocked", ("block", "blocked chords", "solid", "block chords")),
    "broken": ("broken", ("broken chord", "broken chords")),
    "alberti": ("Alberti", ("Alberti bass",)),
    "waltz": ("waltz", ("waltz bass",)),
}
_WORDS = {
    "blocked": "a blocked chord, three times",
    "broken": "a broken chord, upwards",
    "alberti": "an Alberti bass",
    "waltz": "a waltz bass",
}
_NUMERALS = ("I", "IV", "V", "vi", "ii")
COUNT, WRITTEN = 4, 3


def _columns(chords: Sequence[Harmony], names: Sequence[str], down: bool, at: int) -> Columns:
    """The chords as patterns, over a tonic in octave ``at``; V and vi below it if ``down``."""
    found: Columns = []
    for chord, name in zip(chords, names):
        tones = chord.tones(at - (down and chord.degree > 4))
        found += [tuple(tones[n] for n in notes) for notes in PATTERNS[name]]
    return found


def _sides(
    request: Request, chords: Sequence[Harmony], names: Sequence[str], rng: Random
) -> dict[str, Columns]:
    """The patterns of each hand, where they need the fewest ledger lines."""
    ways = [partial(_columns, chords, names, down) for down in (True, False)]
    best = min(ways, key=lambda music: fewest_lines(request.hand, music))
    return fit_register(request, best, rng)


def _starts(names: Sequence[str]) -> list[int]:
    """The first column of each measure."""
    return [sum(len(PATTERNS[name]) for name in names[:n]) for n in range(len(names))]


def _bars(names: Sequence[str]) -> dict[int, str]:
    ends = [start - 1 for start in _starts(names)[1:]]
    return dict.fromkeys(ends, "|") | {sum(len(PATTERNS[name]) for name in names) - 1: "|."}


def _name(request: Request, rng: Random) -> Exercise:
    names = rng.sample(list(PATTERNS), len(PATTERNS))
    names[rng.randrange(COUNT)] = rng.choice(list(PATTERNS))
    chords = [harmony(request.key, n) for n in ("I", *rng.sample(_NUMERALS[1:], 2), "I")]
    sides = _sides(request, chords, names, rng)
    first = next(iter(sides))
    blanks = []
    for start, name in zip(_starts(names), names):
        blanks.append(Blank("pattern", first, start, None, sides[first][start], *_ANSWERS[name]))
    return Exercise(
        request.key,
        request.hand,
        "Name each accompaniment pattern: blocked, broken, Alberti or waltz.",
        wording.label(request, by="clef"),
        printed_staves(sides, "1", _bars(names)),
        give(blanks, request.given, rng),
    )


def _write(request: Request, rng: Random) -> Exercise:
    name = request.settings["pattern"]
    numerals = rng.sample(_NUMERALS[: 3 if request.settings["chords"] == "primary" else 5], WRITTEN)
    chords, names = [harmony(request.key, n) for n in numerals], [name] * WRITTEN
    sides = _sides(request, chords, names, rng)
    length = len(PATTERNS[name])
    staves = written_staves(sides, _bars(names), range(length * min(request.given, WRITTEN - 1)))
    first = next(iter(sides))
    labels = tuple(
        Blank("numeral", first, start, None, chord.tones(4), chord.numeral, given=True)
        for start, chord in zip(_starts(names), chords)
    )
    return Exercise(
        request.key,
        request.hand,
        f"Write each chord in root position as {_WORDS[name]}.",
        wording.label(request, by="clef"),
        staves,
        labels + note_blanks(staves, request.naming),
    )


def _make(request: Request, rng: Random) -> Exercise:
    return (_name if request.settings["task"] == "name" else _write)(request, rng)


PATTERN = AnswerKind("pattern", "the name of an accompaniment pattern", 22.0)
FAMILY = Family(
    name="accompaniment",
    title="Accompaniment patterns",
    kinds=(PATTERN,),
    settings={
        "task": Setting(("name", "write"), "name", skill=True, about="of a pattern"),
        "pattern": Setting(
            tuple(PATTERNS), "broken", skill=True, where={"task": ("write",)}, about="to be written"
        ),
        "chords": Setting(
            ("primary", "diatonic"),
            "primary",
            where={"task": ("write",)},
            about="`primary` are I, IV and V",
        ),
    },
    maker=_make,
    by="clef",
    others=(NOTES, NUMERAL),
)
