"""Scale repair: a scale with one, two or three wrong notes, to be found and named.

A wrong note has the right letter: its sharp or flat is missing, wrong, or one too many.
The label names key and form, so each note has only one right spelling.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import AnswerKind
from workbook.exercises.blanks import Answer, give
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import SCALE_FORM, SIGNATURE, Setting
from workbook.exercises.staves import printed_staves
from workbook.exercises.telling import Repaired
from workbook.music import scales
from workbook.music.pitch import Pitch, alteration, letter, octave, pitch, semitone

RIGHT = "OK"


def spoil(run: tuple[Pitch, ...], count: int, rng: Random) -> tuple[Pitch, ...]:
    """The scale ``run`` with ``count`` wrong notes between its first and its last.

    It still rises from note to note, and no wrong note has a double sharp or flat.
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


def _make(request: Request, rng: Random) -> Exercise:
    key, settings, naming = request.key, request.settings, request.naming
    form, count = request.settings["forms"], settings["wrong"]
    right = fit_register(request, lambda at: [(p,) for p in scales.ascending(key, form, at)], rng)
    sides: dict[str, Columns] = {
        side: [(p,) for p in spoil(tuple(p for (p,) in columns), count, rng)]
        for side, columns in right.items()
    }
    blanks = []
    for side, columns in sides.items():
        for column, (printed, meant) in enumerate(zip(columns, right[side])):
            name = naming.note(meant[0])
            if printed == meant:
                answer: Answer = (RIGHT, ("✓", name))
            else:  # a natural cancels the wrong sign
                answer = (name, () if meant[0].signs else (f"{name}♮",))
            blanks.append(Blank("repair", side, column, None, printed, *answer))
    words = f"{count} wrong note{'s' if count > 1 else ''}"
    return Exercise(
        key,
        request.hand,
        f"Write {RIGHT} at each right note, the right note’s name at each wrong one.",
        wording.label(
            request, words + (" on each staff" if len(sides) > 1 else ""), by="clef", form=form
        ),
        printed_staves(sides, "1", {7: "|."}),
        give(blanks, request.given, rng),
        signed=settings["signature"] == "printed",
    )


REPAIR = AnswerKind(
    "repair",
    "OK, or the note’s right name",
    9.7,
    longer=((3, 11.2), (4, 12.8), (5, 16.0)),
    words="notes",
    telling=Repaired("root"),
    called="Scale repair",
    usual=RIGHT,
)
FAMILY = Family(
    studied=False,
    name="scale-repair",
    title="Scale repair",
    kinds=(REPAIR,),
    settings={
        "forms": SCALE_FORM,
        "wrong": Setting((1, 2, 3), 2, about="wrong notes"),
        "signature": SIGNATURE,
    },
    maker=_make,
    by="clef",
)
