"""Words of music in order of degree: tempi from slow to fast, dynamics from soft to loud.

Words of one degree, such as *largo* and *lento*, never occur together. Dynamics may stand as
letters below notes.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import terms
from workbook.exercises.answers import AnswerKind
from workbook.exercises.blanks import give
from workbook.exercises.family import Family
from workbook.exercises.figures import Grid
from workbook.exercises.model import Blank, Event, Exercise, Request, Staff
from workbook.exercises.settings import Setting
from workbook.exercises.terms import STAGE, TERM
from workbook.music.pitch import pitch
from workbook.music.terms import degrees

_ENDS = {"tempo": ("slowest", "fastest"), "dynamics": ("softest", "loudest")}
_COUNT, _ACROSS = 4, 2


def _make(request: Request, rng: Random) -> Exercise:
    subject, letters = request.settings["order"], request.settings["shown"] == "letters"
    words = degrees(subject, request.settings["stage"], _COUNT, rng)
    ranked = sorted(word.degree for word in words if word.degree is not None)
    low, high = _ENDS[subject]
    asked = (
        Blank("rank", "right", row, None, (), str(ranked.index(word.degree) + 1))
        for row, word in enumerate(words)
        if word.degree is not None
    )
    blanks = give(asked, request.given, rng)
    what = "signs" if letters else "words"
    task = f"Number the {what} from the {low} (1) to the {high} ({len(words)})."
    if letters:
        events = (
            Event((pitch("A4"),), "treble", value="1", after="|", sign=word.word) for word in words
        )
        staff = Staff("right", (*events,), stems=True)
        return Exercise(
            request.key, "right", task, "Signs for dynamics", (staff,), blanks, signed=False
        )
    return Exercise(
        request.key,
        "right",
        task,
        terms.label(subject),
        (),
        (*terms.printed("term", [word.word for word in words]), *blanks),
        figure=Grid(("term", "rank"), len(words), _ACROSS),
    )


RANK = AnswerKind("rank", "the place in an order, 1 for the first", 8.0, called="Place in order")
FAMILY = Family(
    name="term-order",
    title="Words in order",
    kinds=(RANK,),
    others=(TERM,),
    settings={
        "order": Setting(tuple(_ENDS), "tempo", skill=True, about="what is put in order"),
        "shown": Setting(
            ("words", "letters"),
            "words",
            skill=True,
            where={"order": ("dynamics",)},
            about="dynamics as words or as letters",
        ),
        "stage": STAGE,
    },
    maker=_make,
    by="",
    keyed=False,
)
