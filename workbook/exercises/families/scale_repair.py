"""Scale repair: a scale with one, two or three wrong notes to find and to name.

A wrong note has the right letter: its sharp or flat is missing, wrong, or one too many.
The label names key and form, so that each note has one right spelling.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import common
from workbook.exercises.model import Blank, Exercise, Family, Request, give
from workbook.music import scales
from workbook.music.pitch import Pitch, alteration, letter, octave, pitch, semitone

RIGHT = "OK"


def spoil(run: tuple[Pitch, ...], count: int, rng: Random) -> tuple[Pitch, ...]:
    """The scale ``run`` with ``count`` wrong notes between its first and its last.

    It still rises with every note, and no wrong note has a double sharp or flat.
    """
    found = list(run)
    for index in rng.sample(range(1, len(run) - 1), len(run) - 2):
        right, low, high = run[index], found[index - 1], found[index + 1]
        wrong = [
            p
            for p in map(
                pitch, (f"{letter(right)}{sign}{octave(right)}" for sign in ("", "#", "b"))
            )
            if alteration(p) != alteration(right) and semitone(low) < semitone(p) < semitone(high)
        ]
        if wrong and count:
            found[index] = rng.choice(wrong)
            count -= 1
    return tuple(found)


def make(request: Request, rng: Random) -> Exercise:
    key, settings, naming = request.key, request.settings, request.naming
    form, count = common.form(request), settings.get("wrong", 2)
    right = common.place(request, lambda at: [(p,) for p in scales.ascending(key, form, at)], rng)
    sides = {
        side: [(p,) for p in spoil(tuple(p for (p,) in columns), count, rng)]
        for side, columns in right.items()
    }
    blanks = []
    for side, columns in sides.items():
        for column, (printed, meant) in enumerate(zip(columns, right[side])):
            name = naming.note(meant[0])
            if printed == meant:
                text, also = RIGHT, ("✓", name)
            else:  # who cancels the wrong sign writes a natural
                text, also = name, (() if meant[0].signs else (f"{name}♮",))
            blanks.append(Blank("repair", side, column, None, printed, text, also))
    words = f"{count} wrong note{'s' if count > 1 else ''}"
    return Exercise(
        "scale-repair",
        key,
        request.hand,
        f"Write {RIGHT} at each right note, the right note’s name at each wrong one.",
        common.label(
            request, words + (" on each staff" if len(sides) > 1 else ""), by="clef", form=form
        ),
        common.staves(sides, "1", {7: "|."}, request.ledger_lines),
        give(tuple(blanks), request.given, rng),
        signed=settings.get("signature") == "printed",
    )


FAMILY = Family(
    "scale-repair",
    "Scale repair",
    ("repair",),
    {
        "forms": ("major", *scales.MINOR_FORMS),
        "wrong": (1, 2, 3),
        "signature": ("accidentals", "printed"),
    },
    make,
    by="clef",
)
