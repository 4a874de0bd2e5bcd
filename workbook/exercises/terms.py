"""Words of music in exercises: which are asked, what is in their boxes, how it is listed."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from workbook.exercises.answers import AnswerKind
from workbook.exercises.model import Blank, Request
from workbook.exercises.settings import Setting
from workbook.exercises.telling import InOtherWords
from workbook.music.terms import STAGES, SUBJECTS, TERMS, Term, chosen, words_for

_LABELS = {
    "all": "Words of music",
    "tempo": "Words for the tempo",
    "dynamics": "Words for dynamics",
    "articulation": "Words for articulation",
    "character": "Words for the character",
    "form": "Words for repeats and endings",
    "pedal": "Words for the pedal",
    "degree": "Words that say how much",
}
STAGE = Setting(
    STAGES,
    "first",
    skill=True,
    about="the words of `first` are for beginners; each stage includes the stages before it",
)
SUBJECT = Setting(("all", *SUBJECTS), "all", skill=True, about="what the words are about")
ENTRY = AnswerKind("entry", "the number of an entry in a list", 8.0, called="Number in the list")
TERM = AnswerKind(
    "term",
    "a word that says how music is played",
    27.5,
    longer=((10, 33.0),),
    short=10,
    called="Word",
    worded=True,
)
MEANING = AnswerKind(
    "meaning",
    "what a word or a sign means",
    48.5,
    short=16,
    telling=InOtherWords(),
    worded=True,
)


def label(subject: str) -> str:
    """What the words of an exercise are about."""
    return _LABELS[subject]


def pick(request: Request, count: int, rng: Random) -> list[Term]:
    """Words of the stage and the subject that a request asks for, in any order."""
    subject = request.settings["subject"]
    terms = [term for term in TERMS if subject in ("all", term.subject)]
    found = chosen(terms, request.settings["stage"], count, rng)
    rng.shuffle(found)
    return found


def printed(asks: str, texts: Sequence[str]) -> tuple[Blank, ...]:
    """What is printed in the rows of a grid."""
    return tuple(
        Blank(asks, "right", row, None, (), text, given=True) for row, text in enumerate(texts)
    )


def spellings(meaning: str, word: str) -> tuple[str, ...]:
    """What else than ``word`` is right for a meaning: other words and all abbreviations."""
    found = [text for term in words_for(meaning) for text in (term.word, *term.short)]
    return tuple(text for text in dict.fromkeys(found) if text != word)
