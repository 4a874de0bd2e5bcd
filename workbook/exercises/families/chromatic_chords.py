"""Chromatic chords: the Neapolitan sixth and augmented sixths, named, spelled or resolved."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from random import Random

from workbook.exercises import harmonies, wording
from workbook.exercises.answers import NOTES, AnswerKind
from workbook.exercises.blanks import Answer, chord_blanks, give, note_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.registers import Column, Columns, fit_each_register
from workbook.exercises.settings import Setting, Settings
from workbook.exercises.staves import bar_lines, printed_staves, written_staves
from workbook.music.chords import harmony
from workbook.music.chromatic import CHROMATIC, basses, close, resolution, turns
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, pitch, semitone, staff_degree
from workbook.music.register import most_lines

SIXTHS = ("It+6", "Fr+6", "Ger+6")
CHORDS = {"Neapolitan": ("N6",), "augmented sixths": SIXTHS, "all": ("N6", *SIXTHS)}
DIATONIC = ("ii6", "IV", "V7", "I6", "ii6/5")
"""Chords of the key that stand beside the others where chords are named."""
NAMES = {
    "N6": ("N", "♭II6", "Neapolitan", "Neapolitan sixth", "Neapolitan 6"),
    "It+6": ("It6", "It", "Italian", "Italian sixth", "Italian 6"),
    "Fr+6": ("Fr6", "Fr", "Fr4/3", "Fr43", "French", "French sixth", "French 6"),
    "Ger+6": ("Ger6", "Ger", "Ger6/5", "Ger65", "German", "German sixth", "German 6"),
}
"""What else is accepted for a name: common practice, no source."""
COUNT, RESOLVED = 5, 3
_HIGH, _REACH = staff_degree(pitch("B3")), 24
"""The lowest note of a resolution's right hand, and half steps from there to the bass at most."""


def _dealt(names: tuple[str, ...], count: int, rng: Random) -> list[str]:
    """``count`` of the names in any order, each as often as the others or once more."""
    found = [name for _ in range(-(-count // len(names))) for name in rng.sample(names, len(names))]
    return found[:count]


def _at(key: Key, name: str) -> Callable[[int], Columns]:
    """The chord in close position as one column, for any octave."""
    if name in CHROMATIC:
        return lambda at: [close(key, name, at)]
    return partial(harmonies.block, harmony(key, name))


def _answer(request: Request, name: str) -> Answer:
    if name in CHROMATIC:
        return name, NAMES[name]
    chord = harmony(request.key, name)
    return chord.numeral, harmonies.other_numerals(chord, request.naming)


def _name(request: Request, rng: Random) -> Exercise:
    chosen = CHORDS[request.settings["chords"]]
    others = rng.sample(DIATONIC, COUNT - max(len(chosen), 2))
    names = _dealt(chosen, COUNT - len(others), rng) + others
    rng.shuffle(names)
    sides = fit_each_register(request, [_at(request.key, name) for name in names], rng)
    blanks = chord_blanks("chromatic", sides, [_answer(request, name) for name in names])
    words = ", ".join(["a numeral with figures (such as ii6)", *chosen[:-1]])
    return Exercise(
        request.key,
        request.hand,
        f"Name each chord: {words} or {chosen[-1]}.",
        wording.label(request, by="clef"),
        printed_staves(sides, "1", bar_lines(COUNT)),
        give(blanks, request.given, rng),
    )


def _write(request: Request, rng: Random) -> Exercise:
    names = _dealt(CHORDS[request.settings["chords"]], COUNT - 1, rng)
    if len(set(names)) == 1:
        names = names[:1]
    sides = fit_each_register(request, [_at(request.key, name) for name in names], rng)
    staves = written_staves(sides, bar_lines(len(names)))
    first = next(iter(sides))
    labels = tuple(
        Blank("chromatic", first, column, None, notes, name, given=True)
        for column, (name, notes) in enumerate(zip(names, sides[first]))
    )
    return Exercise(
        request.key,
        request.hand,
        "Write each chord in close position, with its accidentals.",
        wording.label(request, by="clef"),
        staves,
        labels + note_blanks(staves, request.naming),
    )


def _resolve(request: Request, rng: Random) -> Exercise:
    key, names = request.key, _dealt(CHORDS[request.settings["chords"]], RESOLVED, rng)
    sides: dict[str, Columns] = {"right": [], "left": []}
    labels, asked = [], set()
    for name in names:
        turn = rng.choice([n for n in range(turns(name)) if (name, n) not in asked] or [0])
        asked.add((name, turn))
        right = next(
            pair
            for pair in (resolution(key, name, turn, at) for at in range(2, 6))
            if staff_degree(min(p for chord in pair for p in chord)) >= _HIGH
        )
        sides["right"] += right
        sides["left"] += _under(right, [basses(key, name, at) for at in range(1, 5)])
        labels += [name, harmony(key, CHROMATIC[name].goal).numeral]
    bars = dict.fromkeys(range(1, 2 * RESOLVED - 1, 2), "||") | {2 * RESOLVED - 1: "|."}
    staves = written_staves(sides, bars, range(0, 2 * RESOLVED, 2))
    printed = tuple(
        Blank("chromatic", "right", column, None, (), name, given=True)
        for column, name in enumerate(labels)
    )
    return Exercise(
        key,
        request.hand,
        "Resolve each chord to the one beside it. Lead each voice to the nearest note.",
        wording.label(request, "four voices", by=""),
        staves,
        printed + note_blanks(staves, request.naming),
    )


def _under(right: tuple[Column, Column], ways: list[tuple[Pitch, Pitch]]) -> Columns:
    """The basses that lie below the right hand, within two octaves of it, on the staff."""
    near = [
        pair
        for pair in ways
        if all(0 < semitone(hand[0]) - semitone(low) <= _REACH for hand, low in zip(right, pair))
    ]
    return [(p,) for p in min(near, key=lambda pair: most_lines(pair, "left"))]


_TASKS = {"name": _name, "write": _write, "resolve": _resolve}


def _make(request: Request, rng: Random) -> Exercise:
    return _TASKS[request.settings["task"]](request, rng)


def _settle(settings: Settings, _key: Key, hand: str) -> tuple[Settings, str]:
    """Four voices have two staves."""
    return settings, "both" if settings["task"] == "resolve" else hand


CHROMATICS = AnswerKind(
    "chromatic",
    "the name of a chord in the key, or of one foreign to it",
    13.5,
    longer=((5, 16.5),),
    figured="numeral",
    called="Chromatic chord",
)
FAMILY = Family(
    name="chromatic-chords",
    title="Chromatic chords",
    kinds=(CHROMATICS,),
    settings={
        "task": Setting(tuple(_TASKS), "name", skill=True, about="`resolve` has four voices"),
        "chords": Setting(tuple(CHORDS), "all", skill=True, about="which occur"),
    },
    maker=_make,
    settle=_settle,
    by="clef",
    others=(NOTES,),
)
