"""Note values: their names, how many beats they last, how many shorter notes they hold.

Two tied notes are one sound, as long as both.
"""

from __future__ import annotations

from fractions import Fraction
from random import Random

from workbook.exercises import rhythms
from workbook.exercises.answers import COUNT, AnswerKind
from workbook.exercises.blanks import Answer, give
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Event, Exercise, Request
from workbook.exercises.settings import Setting, Settings
from workbook.exercises.value_names import plural_name, value_answer
from workbook.music.keys import Key
from workbook.music.naming import Naming
from workbook.music.rhythm import Sound, Value

_VALUES = {
    "quarters": ("1", "2", "4"),
    "eighths": ("1", "2", "4", "8"),
    "dotted": ("1", "2.", "2", "4.", "4", "8"),
    "sixteenths": ("2.", "2", "4.", "4", "8.", "8", "16"),
    "double dotted": ("1.", "2..", "2.", "4..", "4.", "4", "8.", "8"),
}
_NOTES, _MIXED, _TIED = "Notes", "Notes and rests", "Tied notes"
_COUNT = 6
_UNITS = {"quarters": 4, "eighths": 8, "dotted": 8, "sixteenths": 16, "double dotted": 16}
"""The shortest note, of which the longer ones hold whole numbers."""
_QUARTERS = {Fraction(1, 4): "¼", Fraction(1, 2): "½", Fraction(3, 4): "¾"}


def beats(length: Fraction) -> Answer:
    """How many quarter notes a length is, ``"1½"``, and what else is accepted."""
    whole, part = divmod(length * 4, 1)
    if not part:
        return str(whole), ()
    if part not in _QUARTERS:
        return f"{whole} {part}" if whole else str(part), (f"{float(length * 4):g}",)
    apart = f"{whole} {part}" if whole else str(part)
    decimal = f"{float(length * 4):g}"
    also = [apart, decimal, *([decimal.removeprefix("0")] if not whole else [])]
    return f"{whole or ''}{_QUARTERS[part]}", tuple(also)


def _values(text: str) -> tuple[Value, ...]:
    return tuple(Value(int(word.rstrip(".")), word.count(".")) for word in _VALUES[text])


def _sounds(request: Request, rng: Random) -> list[list[Sound]]:
    """What is asked about: sounds, each of one note or rest or of two tied notes."""
    settings = request.settings
    values = _values(settings["values"])
    unit = Fraction(1, _UNITS[settings["values"]])
    if settings["task"] == "ratio":  # what holds more than one of them
        values = tuple(v for v in values if v.length > unit and (v.length / unit).denominator == 1)
    found = [[Sound(value)] for value in values]
    if settings["rests"]:
        found += [[Sound(value, rest=True)] for value in values if value.dots < 2]
    if settings["tied"]:
        found = [
            [Sound(one, tied=True), Sound(other)]
            for one in values
            for other in values
            if one.length >= other.length and one.length + other.length <= 2
        ]
    count = _COUNT // (1 + settings["tied"])
    chosen = rng.sample(found, min(count, len(found)))
    return chosen + rng.choices(found, k=count - len(chosen))


def _make(request: Request, rng: Random) -> Exercise:
    settings, naming = request.settings, request.naming
    unit = Value(_UNITS[settings["values"]])
    events: list[Event] = []
    blanks: list[Blank] = []
    chosen = _sounds(request, rng)
    for sounds in chosen:
        length = sum((sound.value.length for sound in sounds), Fraction())
        asks, (answer, also) = _answer(settings["task"], sounds[0], length, unit, naming)
        blanks.append(Blank(asks, "right", len(events), None, (), answer, also))
        events += [rhythms.event(sound) for sound in sounds]
        events[-1] = events[-1]._replace(after="|")
    events[-1] = events[-1]._replace(after="|.")
    return Exercise(
        request.key,
        "right",
        _task(settings, unit, naming),
        _label(settings),
        (rhythms.staff(events),),
        give(blanks, request.given, rng),
        signed=False,
    )


def _answer(
    task: str, sound: Sound, length: Fraction, unit: Value, naming: Naming
) -> tuple[str, Answer]:
    """What is asked of a sound that is ``length`` long, and the answer."""
    if task == "name":
        return "called", value_answer(sound.value, naming, sound.rest)
    return (
        ("beats", beats(length)) if task == "beats" else ("count", (str(length / unit.length), ()))
    )


def _label(settings: Settings) -> str:
    if settings["tied"]:
        return _TIED
    return _MIXED if settings["rests"] else _NOTES


def _task(settings: Settings, unit: Value, naming: Naming) -> str:
    each = "note or rest" if settings["rests"] else "note"
    if settings["task"] == "name":
        return f"Write the name of each {each}."
    what = plural_name(Value(4) if settings["task"] == "beats" else unit, naming)
    if settings["tied"]:
        return f"How many {what} long are the two tied notes together?"
    return f"How many {what} long is each {each}?"


def _rule(settings: Settings, _key: Key, _hand: str) -> str:
    if settings["tied"] and settings["task"] == "name":
        return 'tied notes have no name of their own; write task = "beats" or "ratio"'
    if settings["tied"] and settings["rests"]:
        return "rests are not tied; leave out rests or tied"
    return ""


CALLED = AnswerKind(
    "called",
    "the name of a note value or rest",
    33.0,
    longer=((12, 37.0), (14, 40.5)),
    short=11,
    words="values",
    called="Note value",
)
BEATS = AnswerKind("beats", "how many beats a note lasts: 1½", 12.0)
FAMILY = Family(
    name="note-values",
    title="Note values",
    kinds=(CALLED, BEATS, COUNT),
    settings={
        "task": Setting(
            ("name", "beats", "ratio"),
            "name",
            skill=True,
            about="`beats` are in quarters; `ratio` asks how many of the shortest value fit",
        ),
        "values": Setting(tuple(_VALUES), "quarters", skill=True, about="which occur"),
        "rests": Setting(
            (False, True), False, where={"tied": (False,)}, about="whether rests occur"
        ),
        "tied": Setting(
            (False, True),
            False,
            skill=True,
            where={"task": ("beats", "ratio")},
            about="whether notes are tied",
        ),
    },
    maker=_make,
    rule=_rule,
    by="",
    keyed=False,
    silent=(_NOTES, _MIXED, _TIED),
    apart=True,
)
