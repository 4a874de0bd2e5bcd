"""Melody transposition: a phrase in one key, to be written under another key's signature."""

from __future__ import annotations

from random import Random

from workbook.exercises import transposing, wording
from workbook.exercises.answers import NOTES
from workbook.exercises.blanks import note_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import Event, Exercise, Request, Staff
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import Setting
from workbook.music.chords import harmony
from workbook.music.embellishments import NEIGHBOR, PASSING
from workbook.music.keys import Key
from workbook.music.melodies import melody
from workbook.music.pitch import Pitch, semitone, staff_degree
from workbook.music.register import CLEFS, fewest_lines
from workbook.music.shapes import Tone, sound

HARMONIES = {
    5: ("I I I V I", "I I V V I"),
    7: ("I I I V V V I", "I I IV IV V V I", "I I I IV V V I"),
    9: ("I I I IV IV V V V I", "I I V V I I V V I", "I I I I IV IV V V I"),
}
"""The chord behind each note, by how many notes there are."""
_PASSING = {5: 1, 7: 2, 9: 2}


def _tune(key: Key, count: int, rng: Random) -> tuple[Tone, ...]:
    """A phrase as steps and half steps above a tonic."""
    while True:
        chords = [harmony(key, numeral) for numeral in rng.choice(HARMONIES[count]).split()]
        plan: list[str | None] = [None] * count
        for place in rng.sample(range(1, count - 1, 2), min(_PASSING[count], (count - 1) // 2)):
            plan[place] = rng.choice((PASSING, PASSING, NEIGHBOR))
        root, home = chords[-1].root(4), key.tonic_in(4)
        notes = melody(key, chords, plan, rng, lambda p: p.step == root.step)  # noqa: B023
        if notes:
            return tuple(
                (staff_degree(p) - staff_degree(home), semitone(p) - semitone(home)) for p in notes
            )


def _music(tune: tuple[Tone, ...], source: Key, goal: Key, up: bool, at: int) -> Columns:
    """The phrase in the key of ``source``, then in that of ``goal`` above or below."""
    there = at + transposing.shift(source, goal, up)
    return [
        (sound(key, place, tone),) for key, place in ((source, at), (goal, there)) for tone in tune
    ]


def _make(request: Request, rng: Random) -> Exercise:
    goal, count = request.key, request.settings["notes"]
    tune = _tune(goal, count, rng)

    def need(source: Key, up: bool) -> int:
        return fewest_lines(request.hand, lambda at: _music(tune, source, goal, up, at))

    source, up = transposing.choose(goal, need, request.ledger_lines, rng)
    sides = fit_register(request, lambda at: _music(tune, source, goal, up, at), rng)
    given = min(request.given, count - 1)
    staves = tuple(
        Staff(
            side,
            tuple(
                _event(side, column, notes, {0: source, count: goal}.get(column), count, given)
                for column, notes in enumerate(columns)
            ),
        )
        for side, columns in sides.items()
    )
    note = request.naming.key
    return Exercise(
        goal,
        request.hand,
        "Write the melody in the new key.",
        wording.heading(
            request, f"{note(source)} {'up' if up else 'down'} to {note(goal)}", by="clef"
        ),
        staves,
        note_blanks(staves, request.naming),
    )


def _event(
    side: str, column: int, notes: tuple[Pitch, ...], key: Key | None, count: int, given: int
) -> Event:
    after = {count - 1: "break", 2 * count - 1: "|."}.get(column, "")
    written = notes if column >= count + given else ()
    return Event(notes, CLEFS[side], "1", after, written=written, signature=key)


FAMILY = Family(
    name="melody-transposition",
    title="Transposing a melody",
    kinds=(NOTES,),
    settings={"notes": Setting(tuple(HARMONIES), 7, about="notes in the melody")},
    studied=False,
    maker=_make,
    by="clef",
)
