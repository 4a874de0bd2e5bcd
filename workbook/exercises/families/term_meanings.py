"""Words of music: what they mean, or the word for a meaning.

An answer in other words of the same sense is right; those that are listed are accepted where
answers are typed.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import terms
from workbook.exercises.blanks import give
from workbook.exercises.family import Family
from workbook.exercises.figures import Grid
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.settings import Setting
from workbook.exercises.terms import MEANING, STAGE, SUBJECT, TERM

_COUNT, _ACROSS = 6, 2


def _make(request: Request, rng: Random) -> Exercise:
    words = terms.pick(request, _COUNT, rng)
    texts = {"term": [word.word for word in words], "meaning": [word.meaning for word in words]}
    if request.settings["task"] == "meaning":
        shown, asks, also = "term", "meaning", [word.also for word in words]
        task = "Write what each word means."
    else:
        shown, asks = "meaning", "term"
        also = [terms.spellings(word.meaning, word.word) for word in words]
        task = "Write a word that means this, in full or abbreviated."
    asked = (
        Blank(asks, "right", row, None, (), text, others)
        for row, (text, others) in enumerate(zip(texts[asks], also))
    )
    return Exercise(
        request.key,
        "right",
        task,
        terms.label(request.settings["subject"]),
        (),
        (*terms.printed(shown, texts[shown]), *give(asked, request.given, rng)),
        figure=Grid((shown, asks), len(words), _ACROSS),
    )


FAMILY = Family(
    name="term-meanings",
    title="Meanings of words",
    kinds=(MEANING, TERM),
    settings={
        "task": Setting(
            ("meaning", "word"),
            "meaning",
            skill=True,
            about="`meaning` asks what a word means, `word` the word for a meaning",
        ),
        "stage": STAGE,
        "subject": SUBJECT,
    },
    maker=_make,
    by="",
    keyed=False,
    silent=(terms.label("all"),),
)
