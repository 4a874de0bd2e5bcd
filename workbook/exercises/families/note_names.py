"""Note names: notes of a key, or altered ones too, as far as the ledger lines allow.

On the whole staff, the highest and the lowest note need the most ledger lines, two more notes
lie beyond the staff, and four on it. The notes around middle C are for beginners: with both
thumbs on it, or in C position, each hand has its five.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import NOTE
from workbook.exercises.blanks import give, text_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import SIDES, Exercise, Request
from workbook.exercises.registers import Columns
from workbook.exercises.settings import Setting
from workbook.exercises.staves import bar_lines, printed_staves
from workbook.music.keys import Key, signature
from workbook.music.pitch import LETTERS, Pitch, alteration, letter, octave, pitch, staff_degree
from workbook.music.register import ledger_lines

COUNT = 8
MIDDLE_C, C_POSITION = "middle C", "C position"
_FIVE = {
    MIDDLE_C: {"right": ("C", 4), "left": ("F", 3)},
    C_POSITION: {"right": ("C", 4), "left": ("C", 3)},
}
"""The lowest of five notes of each hand: common practice, no source."""
_SIGNS = {-1: "b", 0: "", 1: "#"}


def _make(request: Request, rng: Random) -> Exercise:
    chromatic = request.settings["notes"] == "chromatic"
    sides: dict[str, Columns] = {}
    for side in SIDES[request.hand]:
        if request.settings["range"] in _FIVE:
            run = few(request.key, *_FIVE[request.settings["range"]][side], rng)
        else:
            run = choose(request.key, side, request.ledger_lines, rng)
        if chromatic:
            for index in rng.sample(range(COUNT), COUNT // 2):
                run[index] = altered(run[index], rng)
        sides[side] = [(p,) for p in run]
    # columns of two staves: low with low and high with high, so that the hands never cross
    order = rng.sample(range(COUNT), COUNT)
    sides = {side: [columns[index] for index in order] for side, columns in sides.items()}
    blanks = [
        blank
        for side, columns in sides.items()
        for blank in text_blanks(
            "note", side, (request.naming.note(p) for (p,) in columns), columns
        )
    ]
    return Exercise(
        request.key,
        request.hand,
        "Write the name of each note.",
        wording.label(request, by="clef"),
        printed_staves(sides, "1", bar_lines(COUNT)),
        give(blanks, request.given, rng),
    )


def few(key: Key, name: str, number: int, rng: Random) -> list[Pitch]:
    """COUNT notes, low to high: each of the five from a letter in an octave, some twice."""
    run = [pitch(note) for note in _natural(key)]
    first = next(n for n, p in enumerate(run) if (letter(p), octave(p)) == (name, number))
    five = run[first : first + 5]
    return sorted([*five, *rng.sample(five, COUNT - 5)], key=staff_degree)


def choose(key: Key, side: str, most: int, rng: Random) -> list[Pitch]:
    """COUNT notes of the key, low to high, that need up to ``most`` ledger lines."""
    reach = [p for p in map(pitch, _natural(key)) if ledger_lines(p, side) <= most]
    middle = (staff_degree(reach[0]) + staff_degree(reach[-1])) / 2
    if not most:
        return sorted(rng.sample(reach, COUNT), key=staff_degree)
    extremes = [
        rng.choice(
            [
                p
                for p in reach
                if ledger_lines(p, side) == most and (staff_degree(p) > middle) == high
            ]
        )
        for high in (False, True)
    ]
    beyond = rng.sample([p for p in reach if ledger_lines(p, side) and p not in extremes], 2)
    inside = rng.sample([p for p in reach if not ledger_lines(p, side)], COUNT - 4)
    return sorted(extremes + beyond + inside, key=staff_degree)


def _natural(key: Key) -> list[str]:
    """The scientific names of the notes under the key's signature, low to high."""
    return [
        f"{name}{_SIGNS[signature(key).get(name, 0)]}{number}"
        for number in range(1, 7)
        for name in LETTERS
    ]


def altered(p: Pitch, rng: Random) -> Pitch:
    """The note a half step higher or lower on the same line or space."""
    signs = [sign for sign in (alteration(p) - 1, alteration(p) + 1) if abs(sign) <= 1]
    return pitch(f"{letter(p)}{_SIGNS[rng.choice(signs)]}{octave(p)}")


FAMILY = Family(
    name="note-names",
    title="Note names",
    kinds=(NOTE,),
    settings={
        "notes": Setting(
            ("key", "chromatic"), "key", skill=True, about="those of the key, or with accidentals"
        ),
        "range": Setting(
            ("staff", MIDDLE_C, C_POSITION),
            "staff",
            skill=True,
            about="`staff` is as wide as the ledger lines allow; the others are five notes for "
            "each hand, which need one for middle C",
        ),
    },
    maker=_make,
    by="clef",
    apart=True,
)
