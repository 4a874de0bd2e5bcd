"""Periods: two phrases of four measures to tell apart, with their cadences and similarities."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from random import Random

from workbook.exercises import rhythms, wording
from workbook.exercises.answers import CADENCE, AnswerKind
from workbook.exercises.blanks import give, in_order
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Event, Exercise, Request, Staff
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import Setting, Settings
from workbook.exercises.spellings import moved
from workbook.music.cadences import abbreviation, other_names, printed_name
from workbook.music.keys import Key
from workbook.music.periods import BARS, Period, Phrase, period, repeats
from workbook.music.pitch import Pitch, pitch, staff_degree
from workbook.music.register import CLEFS
from workbook.music.rhythm import Bar, Time, Value, groups, starts

_TIMES = {
    "simple": (Time(2, 4), Time(3, 4), Time(4, 4)),
    "compound": (Time(6, 8),),
}
_ALIKE = {"parallel": (1, 2, 2), "either": (0, 0, 0, 1, 2, 2)}
"""How many measures the phrases have in common, of which one number is chosen."""
_CLOSES = {"authentic and half": ("half",), "PAC IAC HC": ("half", "imperfect")}
"""How the question may end; the answer has a perfect authentic cadence."""
_NAMES = {"question": ("antecedent", "Q"), "answer": ("consequent", "A")}
_NEW = "new"
_LOWEST, _HIGH = staff_degree(pitch("B3")), staff_degree(pitch("G3"))
"""The lowest note of a melody over a bass, and the highest of the bass."""


def _times(settings: Settings) -> tuple[Time, ...]:
    """The times in which measures of the values asked for have two notes in several ways."""
    found = _TIMES[settings["metre"]]
    plain = settings["values"] == "quarters" and settings["metre"] == "simple"
    return found[1:] if plain else found


def _made(request: Request, rng: Random) -> Period:
    settings = request.settings
    return period(
        request.key,
        rng.choice(_times(settings)),
        settings["values"],
        rng.choice(_ALIKE[settings["period"]]),
        rng.choice(_CLOSES[settings["kinds"]]),
        request.hand != "both",
        rng,
    )


def _make(request: Request, rng: Random) -> Exercise:
    made = _made(request, rng)
    phrases = [made.question, made.answer]
    if request.settings["order"] == "either" and rng.random() < 0.5:
        phrases.reverse()
    side = "left" if request.hand == "left" else "right"
    lines = _lines(request, phrases, side, rng)
    staves = [_melody(side, phrases, lines[side], made.time)]
    if request.hand == "both":
        staves.append(_bass(phrases, made.time))
    ask = tuple(kind.name for kind in FAMILY.kinds if kind.name in request.ask)
    blanks = in_order(_blanks(request, made, phrases, side, lines[side]), ask)
    return Exercise(
        request.key,
        request.hand,
        " ".join(_tasks(request)),
        wording.label(request, by="clef"),
        tuple(staves),
        give(blanks, request.given, rng),
    )


def _lines(
    request: Request, phrases: Sequence[Phrase], side: str, rng: Random
) -> dict[str, Columns]:
    """The melody where it lies well, over a bass above it."""

    def music(at: int) -> Columns:
        return [(moved(p, at - 4),) for phrase in phrases for p in phrase.notes]

    if request.hand != "both":
        return fit_register(replace(request, ledger_lines=0), music, rng)  # on the staff
    return {side: next(filter(_over_bass, map(music, range(3, 6))))}


def _over_bass(columns: Columns) -> bool:
    return min(staff_degree(p) for (p,) in columns) >= _LOWEST


def _melody(side: str, phrases: Sequence[Phrase], columns: Columns, time: Time) -> Staff:
    events: list[Event] = []
    for number, phrase in enumerate(phrases):
        for place, bar in enumerate(phrase.bars):
            first = len(events)
            own = [
                Event(columns[first + index], CLEFS[side], str(sound.value))
                for index, sound in enumerate(bar)
            ]
            own = rhythms.beamed(own, groups(bar, time))
            events += [*own[:-1], own[-1]._replace(after=_after(number, place))]
    events[0] = events[0]._replace(time=str(time))
    return Staff(side, tuple(events), stems=True)


def _after(phrase: int, place: int) -> str:
    """What follows a measure of the first or the second phrase."""
    last = place == BARS - 1
    return ("break" if last else "|") if not phrase else "|." if last else "|"


def _bass(phrases: Sequence[Phrase], time: Time) -> Staff:
    """The root of each chord, from where it begins to where the next one does."""
    events: list[Event] = []
    for number, phrase in enumerate(phrases):
        column = 0
        for place, bar in enumerate(phrase.bars):
            chords = phrase.chords[column : column + len(bar)]
            changes = [n for n in range(len(bar)) if not n or chords[n] != chords[n - 1]]
            own = [Event((), CLEFS["left"])] * len(bar)
            for n, value in zip(changes, _values(bar, changes, time)):
                own[n] = Event((_root(chords[n].root(3)),), CLEFS["left"], str(value))
            events += [*own[:-1], own[-1]._replace(after=_after(number, place))]
            column += len(bar)
    events[0] = events[0]._replace(time=str(time))
    return Staff("left", tuple(events), stems=True)


def _values(bar: Bar, changes: Sequence[int], time: Time) -> Iterator[Value]:
    """How long the notes of the bass last that begin with the sounds numbered ``changes``."""
    at = [starts(bar)[n] for n in changes]
    for begins, ends in zip(at, [*at[1:], time.length]):
        yield next(
            value
            for value in (Value(base, dots) for base in (1, 2, 4, 8) for dots in (0, 1))
            if value.length == ends - begins
        )


def _root(p: Pitch) -> Pitch:
    return moved(p, -1) if staff_degree(p) > _HIGH else p


def _blanks(
    request: Request, made: Period, phrases: Sequence[Phrase], side: str, columns: Columns
) -> Iterator[Blank]:
    lengths = [len(phrase.notes) for phrase in phrases]
    for phrase, first, last in zip(phrases, (0, lengths[0]), (lengths[0], sum(lengths))):
        of = tuple(p for (p,) in columns[first:last])
        name = "question" if phrase is made.question else "answer"
        yield Blank("phrase", side, first, None, of, name, _NAMES[name])
        yield Blank("cadence", side, last - 1, None, of[-2:], *_cadence(phrase, request))
    column = lengths[0]
    for bar, known in list(zip(phrases[1].bars, repeats(*phrases)))[:-1]:
        of = tuple(p for (p,) in columns[column : column + len(bar)])
        answer = _NEW if known is None else str(known + 1)
        also = ("none", "no", "–", "-") if known is None else ()
        yield Blank("match", side, column, None, of, answer, also)
        column += len(bar)
    name = "parallel" if made.parallel else "contrasting"
    all_of = tuple(p for (p,) in columns)
    yield Blank("period", side, len(columns) - 1, None, all_of, name, (f"{name} period",))


def _cadence(phrase: Phrase, request: Request) -> tuple[str, tuple[str, ...]]:
    """What a phrase ends with, and other names to accept."""
    name = "half" if phrase.close == "half" else "authentic"
    close = "" if phrase.close == "half" else phrase.close
    if request.settings["kinds"] == "PAC IAC HC":
        return abbreviation(name, close)
    british = request.naming.british
    return printed_name(name, british), other_names(name, british, close)


def _tasks(request: Request) -> Iterator[str]:
    naming, ask = request.naming, request.ask
    either = request.settings["order"] == "either"
    kinds = [printed_name(name, naming.british) for name in ("half", "authentic")]
    if request.settings["kinds"] == "PAC IAC HC":
        kinds = ["PAC", "IAC", "HC"]
    named = {
        "phrase": f"phrases (question or answer{', in either order' if either else ''})",
        "cadence": f"cadences ({wording.listed(kinds, 'or')})",
        "period": "period (parallel or contrasting)",
    }
    if either and "phrase" not in ask:
        yield "These are the phrases of a period, in either order."
    if names := [name for kind, name in named.items() if kind in ask]:
        yield f"Name the {wording.listed(names)}."
    if "match" in ask:
        yield f"Match: which {naming.measure} of the first line is repeated, or {_NEW}."


def _settle(settings: Settings, _key: Key, hand: str) -> tuple[Settings, str]:
    """Imperfect cadences need a bass, to be distinct from half cadences."""
    return settings, "both" if settings["kinds"] == "PAC IAC HC" else hand


PHRASE = AnswerKind("phrase", "what a phrase is: question or answer", 24.0, row="top")
MATCH = AnswerKind(
    "match", "the number of a measure that another one repeats", 12.0, called="Repeated measure"
)
PERIOD = AnswerKind("period", "whether a period is parallel or contrasting", 32.0)
FAMILY = Family(
    name="periods",
    title="Periods",
    kinds=(PHRASE, CADENCE, MATCH, PERIOD),
    settings={
        "period": Setting(
            ("parallel", "either"), "either", about="`either` is parallel or contrasting"
        ),
        "order": Setting(
            ("question first", "either"),
            "question first",
            skill=True,
            about="`either` may print the answer first",
        ),
        "kinds": Setting(
            tuple(_CLOSES),
            "authentic and half",
            skill=True,
            about="of cadences; `PAC IAC HC` has questions that end with an imperfect authentic "
            "cadence, and two staves",
        ),
        "values": replace(
            rhythms.VALUES, values=rhythms.VALUES.values[:3], skill=False, about="which occur"
        ),
        "metre": replace(rhythms.METRE, skill=False),
    },
    studied=False,
    maker=_make,
    settle=_settle,
    by="clef",
    about="With both clefs, the roots of the chords are in the bass.",
)
