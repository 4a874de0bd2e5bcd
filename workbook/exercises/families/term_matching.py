"""Words of music and a list of meanings, to be matched.

No two of the words are near enough in sense to be mistaken for each other.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import terms
from workbook.exercises.blanks import give
from workbook.exercises.family import Family
from workbook.exercises.figures import Grid
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.terms import ENTRY, STAGE, SUBJECT, TERM

_COUNT, _ACROSS = 6, 3


def _make(request: Request, rng: Random) -> Exercise:
    words = terms.pick(request, _COUNT, rng)
    meanings = [word.meaning for word in words]
    rng.shuffle(meanings)
    asked = (
        Blank("entry", "right", row, None, (), str(meanings.index(word.meaning) + 1))
        for row, word in enumerate(words)
    )
    return Exercise(
        request.key,
        "right",
        "Write the number of each word’s meaning.",
        terms.label(request.settings["subject"]),
        (),
        (*terms.printed("term", [word.word for word in words]), *give(asked, request.given, rng)),
        figure=Grid(("term", "entry"), len(words), _ACROSS),
        choices=tuple(meanings),
    )


FAMILY = Family(
    name="term-matching",
    title="Words and their meanings",
    kinds=(ENTRY,),
    others=(TERM,),
    settings={"stage": STAGE, "subject": SUBJECT},
    maker=_make,
    by="",
    keyed=False,
    silent=(terms.label("all"),),
)
