"""Note names: notes of a key, or altered ones too, down to the last ledger line allowed.

On each staff stand the highest and the lowest note that need the most ledger lines,
two more beyond the staff, and four on it.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.model import SIDES, Exercise, Family, Request, give
from workbook.music.keys import Key, signature
from workbook.music.pitch import LETTERS, Pitch, alteration, letter, octave, pitch, staff_degree
from workbook.music.register import ledger_lines

COUNT = 8
_SIGNS = {-1: "b", 0: "", 1: "#"}


def make(request: Request, rng: Random) -> Exercise:
    chromatic = request.settings.get("notes", "key") == "chromatic"
    sides = {}
    for side in SIDES[request.hand]:
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
        for blank in common.texts(
            "note", side, (request.naming.note(p) for (p,) in columns), columns
        )
    ]
    return Exercise(
        "note-names",
        request.key,
        request.hand,
        "Write the name of each note.",
        common.label(request, by="clef"),
        common.staves(sides, "1", {**dict.fromkeys(range(COUNT - 1), "|"), COUNT - 1: "|."}),
        give(tuple(blanks), request.given, rng),
    )


def choose(key: Key, side: str, most: int, rng: Random) -> list[Pitch]:
    """COUNT notes of the key from low to high, which need up to ``most`` ledger lines."""
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
    """The same line or space with another sign, a half step higher or lower."""
    signs = [sign for sign in (alteration(p) - 1, alteration(p) + 1) if abs(sign) <= 1]
    return pitch(f"{letter(p)}{_SIGNS[rng.choice(signs)]}{octave(p)}")


FAMILY = Family(
    "note-names", "Note names", ("note",), {"notes": ("key", "chromatic")}, make, by="clef"
)
