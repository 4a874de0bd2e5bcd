"""Interval numbers from any note: how far apart two notes of a key are, counted by letters.

They sound together (harmonic) or one after the other, up or down (melodic). Steps and skips are
seconds and thirds. Compound intervals go from the ninth to the twelfth. An inverted interval is
the one that remains when the lower note goes up an octave. With two staves, each has intervals
of its own.
"""

from __future__ import annotations

from functools import partial
from random import Random

from workbook.exercises import dyads, wording
from workbook.exercises.answers import INTERVAL, AnswerKind
from workbook.exercises.blanks import give
from workbook.exercises.family import Family
from workbook.exercises.interval_names import answers
from workbook.exercises.model import SIDES, Blank, Exercise, Request, Staff
from workbook.exercises.registers import ColumnAt, Columns, fit_columns
from workbook.exercises.settings import Setting, Settings
from workbook.exercises.staves import bar_lines, printed_staves
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, interval_name
from workbook.music.scales import ascending

COUNT = 6
_SIZES = {
    "steps and skips": (2, 3),
    "to the fifth": (2, 3, 4, 5),
    "to the octave": (2, 3, 4, 5, 6, 7, 8),
    "compound": (9, 10, 11, 12),
}
_WORDS = {
    ("harmonic", False): "harmonic intervals",
    ("melodic", False): "melodic intervals",
    ("harmonic", True): "compound harmonic intervals",
    ("melodic", True): "compound melodic intervals",
}
SKIP = AnswerKind("skip", "whether two notes are a step or a skip apart", 12.0)


def _make(request: Request, rng: Random) -> Exercise:
    settings = request.settings
    melodic, size, ask = settings["notes"] == "melodic", settings["size"], settings["answer"]
    form = "natural" if request.key.minor else "major"
    blanks: list[Blank] = []
    staves: list[Staff] = []
    chosen = {side: _sizes(size, rng) for side in SIDES[request.hand]}
    music: dict[str, list[ColumnAt]] = {
        side: [partial(_notes, request.key, form, rng.randrange(7), number) for number in numbers]
        for side, numbers in chosen.items()
    }
    for side, columns in fit_columns(request, music, rng).items():
        falls = [rng.random() < 0.5 for _ in columns]
        for index, notes in enumerate(columns):
            name = interval_name(*notes)
            answer, also = _answer(name, ask)
            place = 2 * index + 1 if melodic else index
            asks = SKIP.name if ask == "step or skip" else INTERVAL.name
            blanks.append(Blank(asks, side, place, None, notes, answer, also))
        staves += [dyads.melodic(side, columns, falls)] if melodic else _harmonic(side, columns)
    return Exercise(
        request.key,
        request.hand,
        _task(ask, melodic),
        wording.label(request, _WORDS[settings["notes"], size == "compound"], by="clef"),
        tuple(staves),
        give(blanks, request.given, rng),
    )


def _sizes(size: str, rng: Random) -> list[int]:
    """COUNT numbers of intervals, each as often as the others can be."""
    numbers = _SIZES[size]
    found: list[int] = []
    while len(found) < COUNT:
        found += rng.sample(numbers, len(numbers))
    return rng.sample(found[:COUNT], COUNT)


def _notes(key: Key, form: str, start: int, number: int, at: int) -> tuple[Pitch, ...]:
    run = ascending(key, form, at, 3)
    return run[start], run[start + number - 1]


def _answer(name: str, ask: str) -> tuple[str, tuple[str, ...]]:
    """The answer about an interval such as ``"M3"``, and what else is accepted."""
    number = int(name[1:])
    if ask == "step or skip":
        return ("step", ("2nd", "second")) if number == 2 else ("skip", ("3rd", "third"))
    return answers(f"{name[0]}{9 - number if ask == 'inversion' else number}", False)


def _task(ask: str, melodic: bool) -> str:
    each = "from each first note to the second" if melodic else "between the two notes"
    if ask == "step or skip":
        return "Write step or skip for each pair of notes."
    if ask == "inversion":
        pair = " of each pair of notes" if melodic else ""
        return f"Invert the interval{pair}. Write the number of the inversion."
    return f"Write the number of the interval {each}."


def _harmonic(side: str, columns: Columns) -> tuple[Staff, ...]:
    return printed_staves({side: columns}, "1", bar_lines(len(columns)))


def _problem(settings: Settings, _key: Key, _hand: str) -> str:
    """Why what is asked does not go with the size of the intervals, or ""."""
    if settings["answer"] == "step or skip" and settings["size"] != "steps and skips":
        return 'answer "step or skip" needs size = "steps and skips"'
    if settings["answer"] == "inversion" and settings["size"] == "compound":
        return 'answer "inversion" is for intervals up to the octave'
    return ""


FAMILY = Family(
    name="interval-numbers",
    title="Interval numbers",
    kinds=(INTERVAL,),
    settings={
        "size": Setting(
            tuple(_SIZES), "to the octave", skill=True, about="the intervals, from any note"
        ),
        "notes": Setting(
            ("harmonic", "melodic"),
            "harmonic",
            skill=True,
            about="`melodic` is one note after the other, `harmonic` both at once",
        ),
        "answer": Setting(
            ("number", "step or skip", "inversion"),
            "number",
            skill=True,
            about="`inversion` asks for the inverted interval's number",
        ),
    },
    maker=_make,
    by="clef",
    rule=_problem,
    others=(SKIP,),
    apart=True,
)
