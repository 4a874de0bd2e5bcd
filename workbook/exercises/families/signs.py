"""Signs at notes: their names, what they mean, or their numbers in a list."""

from __future__ import annotations

from random import Random

from workbook.exercises.answers import AnswerKind
from workbook.exercises.blanks import Answer, give
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Event, Exercise, Request, Staff
from workbook.exercises.settings import Setting
from workbook.exercises.terms import ENTRY, MEANING, STAGE
from workbook.music.pitch import Pitch, pitch
from workbook.music.signs import SIGNS, Sign
from workbook.music.terms import chosen

_COUNTS = {"number": 6, "name": 5, "meaning": 3}
_TASKS = {
    "number": "Write the number of each sign in the list.",
    "name": "Write the name of each sign.",
    "meaning": "Write what each sign means.",
}
_LABELS = {"all": "Signs", "dynamics": "Signs for dynamics", "articulation": "Signs at notes"}
_ASKS = {"number": "entry", "name": "sign", "meaning": "meaning"}


def _notes(sign: Sign) -> tuple[tuple[Pitch, ...], tuple[Pitch, ...]]:
    """The two notes at which a sign stands."""
    if sign.span == "chord":
        return tuple(map(pitch, ("F4", "A4", "C5"))), (pitch("A4"),)
    first, second = {"tie": ("A4", "A4"), "high": ("A5", "B5")}.get(sign.span, ("A4", "B4"))
    return (pitch(first),), (pitch(second),)


def _events(sign: Sign) -> list[Event]:
    ends = {"both", "high"}
    first, second = _notes(sign)
    return [
        Event(first, "treble", sign=sign.name, tied=sign.span == "tie"),
        Event(second, "treble", after="|", sign=f"{sign.name} end" * (sign.span in ends)),
    ]


def _music(signs: list[Sign]) -> Staff:
    events: list[Event] = []
    for sign in signs:
        own = _events(sign)
        if sign.span == "bars":  # never the first
            events[-1] = events[-1]._replace(after=".|:")
            own[-1] = own[-1]._replace(after=":|.")
        events += own
    if events[-1].after == "|":
        events[-1] = events[-1]._replace(after="|.")
    return Staff("right", tuple(events), stems=True)


def _pick(request: Request, rng: Random) -> list[Sign]:
    subject, count = request.settings["subject"], _COUNTS[request.settings["answer"]]
    about = [sign for sign in SIGNS if subject in ("all", sign.subject)]
    found = chosen(about, request.settings["stage"], count, rng)
    rng.shuffle(found)
    if found[0].span == "bars":
        found.append(found.pop(0))
    return found


def _answer(answer: str, sign: Sign, listed: list[Sign]) -> Answer:
    if answer == "number":
        return str(listed.index(sign) + 1), ()
    return (sign.name, sign.others) if answer == "name" else (sign.meaning, sign.also)


def _make(request: Request, rng: Random) -> Exercise:
    answer, told = request.settings["answer"], request.settings["list"]
    signs = _pick(request, rng)
    listed = rng.sample(signs, len(signs)) if answer == "number" else []
    wanted = [_answer(answer, sign, listed) for sign in signs]
    blanks = (
        Blank(_ASKS[answer], "right", 2 * number, None, (), text, also)
        for number, (text, also) in enumerate(wanted)
    )
    return Exercise(
        request.key,
        "right",
        _TASKS[answer],
        _LABELS[request.settings["subject"]],
        (_music(signs),),
        give(blanks, request.given, rng),
        signed=False,
        choices=tuple(sign.name if told == "names" else sign.meaning for sign in listed),
    )


SIGN = AnswerKind("sign", "the name of a sign", 32.0, longer=((13, 35.6),), short=10)
FAMILY = Family(
    name="signs",
    title="Signs",
    kinds=(ENTRY, SIGN, MEANING),
    settings={
        "answer": Setting(
            tuple(_ASKS),
            "number",
            skill=True,
            about="`number` is the number of an entry in a list",
        ),
        "list": Setting(
            ("meanings", "names"),
            "meanings",
            skill=True,
            where={"answer": ("number",)},
            about="what the list shows",
        ),
        "stage": STAGE,
        "subject": Setting(tuple(_LABELS), "all", skill=True, about="what the signs are about"),
    },
    maker=_make,
    by="",
    keyed=False,
    silent=(_LABELS["all"],),
)
