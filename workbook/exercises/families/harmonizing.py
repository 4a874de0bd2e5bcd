"""Harmonizing: a melody, and one chord to be chosen for each note or measure.

Every harmonization that fits is accepted; the answer is the best of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import AnswerKind
from workbook.exercises.blanks import give
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import Setting
from workbook.exercises.spellings import moved
from workbook.exercises.staves import bar_lines, printed_staves
from workbook.exercises.telling import Example, Telling
from workbook.music.chords import Harmony, harmony
from workbook.music.embellishments import NEIGHBOR, PASSING
from workbook.music.harmonizing import GOES_TO, harmonizations
from workbook.music.keys import Key
from workbook.music.melodies import melody
from workbook.music.pitch import Pitch, pitch, staff_degree

CHORDS = ("I V", "I IV V", "I IV V7", "I ii IV V7 vi")
_FEW, _MANY = 5, 7
"""Chords under a melody; the larger number if there are three to choose from at most, and one
for each note."""
_WANTED, _TRIES = 4, 40
"""How many harmonizations a melody should have at most, V and V7 counted once, and how many
melodies are tried before the one with the fewest is taken."""
LOWEST_TUNE = pitch("B3")
"""The lowest note of a melody over a bass in the left hand."""


def choices(key: Key, text: str) -> list[Harmony]:
    """The chords to choose from, with V beside V7."""
    found = [harmony(key, numeral) for numeral in text.split()]
    return found + [harmony(key, "V")] * ("V7" in text)


def _walk(own: Sequence[Harmony], count: int, rng: Random) -> list[Harmony]:
    """A progression of ``count`` chords, none twice running, that ends with a dominant and I."""
    by_degree = {chord.degree: chord for chord in reversed(own)}
    needed = {1, 5} | ({4} & set(by_degree) if len(by_degree) == 3 else set())
    while True:
        degrees = [1]
        while len(degrees) < count - 2:
            ways = [n for n in GOES_TO[degrees[-1]] if n in by_degree and n != degrees[-1]]
            degrees.append(rng.choice(ways))
        if 5 in GOES_TO[degrees[-1]] and {*degrees, 5} >= needed:
            return [by_degree[n] for n in (*degrees, 5, 1)]


def _tune(request: Request, rng: Random) -> tuple[list[Harmony], list[tuple[Pitch, ...]]]:
    """A progression and a melody in measures that it harmonizes."""
    count = request.settings["notes"]
    own = choices(request.key, request.settings["chords"])
    many = count == 1 and len({chord.degree for chord in own}) <= 3
    while True:
        line = _walk(own, _MANY if many else _FEW, rng)
        chords = [*(chord for chord in line[:-1] for _ in range(count)), line[-1]]
        plan: list[str | None] = [None] * len(chords)
        for start in range(0, len(chords) - 1, count):
            if count > 1 and rng.random() < 0.7:
                plan[start + rng.randrange(1, count)] = rng.choice((PASSING, PASSING, NEIGHBOR))
        root = line[-1].root(4)
        notes = melody(request.key, chords, plan, rng, lambda p: p.step == root.step)  # noqa: B023
        if notes:
            measures = [notes[n : n + count] for n in range(0, len(notes), count)]
            return line, measures


def short(line: Sequence[Harmony]) -> tuple[int, ...]:
    """A harmonization without regard to sevenths."""
    return tuple(chord.degree for chord in line)


def _choose(
    request: Request, rng: Random
) -> tuple[list[tuple[Pitch, ...]], list[tuple[Harmony, ...]]]:
    """A melody in measures with few harmonizations, and all of them, the best first.

    With a bass under it, they have the bass for their root.
    """
    own = choices(request.key, request.settings["chords"])
    best: tuple[list[tuple[Pitch, ...]], list[tuple[Harmony, ...]]] = ([], [])
    fewest = 0
    for _ in range(_TRIES):
        line, measures = _tune(request, rng)
        found = harmonizations(measures, own)
        if request.hand == "both":
            found = [way for way in found if short(way) == short(line)]
        number = len(set(map(short, found)))
        if not fewest or number < fewest:
            fewest, best = number, (measures, found)
        if fewest <= _WANTED:
            break
    return best


def _bass(ways: Sequence[Sequence[Harmony]], count: int) -> Columns:
    """The root of each chord in the left hand where its measure begins."""
    columns: Columns = []
    for chord in ways[0]:
        root = chord.root(3)
        columns += [(moved(root, -1) if staff_degree(root) > _HIGH else root,)]
        columns += [()] * (count - 1)
    return columns[: len(columns) - count + 1]


_HIGH = staff_degree(pitch("G3"))


def _make(request: Request, rng: Random) -> Exercise:
    count = request.settings["notes"]
    measures, ways = _choose(request, rng)
    side = "left" if request.hand == "left" else "right"
    notes = [p for measure in measures for p in measure]

    def music(at: int) -> Columns:
        return [(moved(p, at - 4),) for p in notes]

    if request.hand == "both":
        sides = {"right": next(filter(_over_bass, map(music, range(3, 6))))}
        sides["left"] = _bass(ways, count)
    else:
        sides = fit_register(request, music, rng)
    blanks = []
    for number in range(len(measures)):
        versions = tuple(way[number].numeral for way in ways)
        others = tuple(dict.fromkeys(name for name in versions if name != versions[0]))
        column = number * count
        of = sides[side][column]
        blanks.append(
            Blank("harmony", side, column, None, of, versions[0], others, versions=versions)
        )
    return Exercise(
        request.key,
        request.hand,
        _task(request),
        wording.label(request, "with its bass" if request.hand == "both" else "", by="clef"),
        printed_staves(sides, "1", bar_lines(len(notes), count)),
        give(blanks, request.given, rng),
    )


def _over_bass(columns: Columns) -> bool:
    return min(staff_degree(p) for (p,) in columns) >= staff_degree(LOWEST_TUNE)


def _task(request: Request) -> str:
    own = choices(request.key, request.settings["chords"])
    names = [chord.numeral for chord in own][: len(request.settings["chords"].split())]
    each = "note" if request.settings["notes"] == 1 else request.naming.measure
    roots = " The bass is the root." if request.hand == "both" else ""
    return (
        f"Choose a chord for each {each}: {wording.listed(names, 'or')}.{roots} "
        f"Begin with {names[0]}; end with {names[_dominant(own)]} and {names[0]}."
        + _moves(own, names)
    )


def _moves(own: Sequence[Harmony], names: Sequence[str]) -> str:
    """Where chords may not go from everywhere to everywhere, what each may go to."""
    degrees = {chord.degree: name for chord, name in zip(own, names)}
    limited = "; ".join(
        f"from {name} go only to {wording.listed(ways, 'or')}"
        for degree, name in degrees.items()
        if (ways := [degrees[n] for n in GOES_TO[degree] if n in degrees and n != degree])
        and len(ways) < len(degrees) - 1
    )
    return f" {limited[0].upper()}{limited[1:]}." if limited else ""


def _dominant(own: Sequence[Harmony]) -> int:
    return next(number for number, chord in enumerate(own) if chord.degree == 5)


@dataclass(frozen=True)
class Harmonization(Telling):
    """Numerals of a whole melody; those that differ only by V and V7 are listed once."""

    def rows(self, versions: Sequence[tuple[str, ...]]) -> Iterator[str]:
        told = {tuple(name.removesuffix("7") for name in versions[0])}
        for version in versions[1:]:
            plain = tuple(name.removesuffix("7") for name in version)
            if plain not in told:
                told.add(plain)
                yield " ".join(version)

    def examples(self, answer: str, others: Sequence[str]) -> Iterator[Example]:
        if answer == "V7" and "V" in others:
            yield ("V7",), answer, "V, if the melody has no seventh of it"


HARMONY = AnswerKind(
    "harmony",
    "the numeral of a chord that harmonizes a melody",
    12.0,
    telling=Harmonization(),
    figured="numeral",
)
FAMILY = Family(
    name="harmonizing",
    title="Harmonizing a melody",
    kinds=(HARMONY,),
    settings={
        "chords": Setting(CHORDS, "I IV V", skill=True, about="the chords to choose from"),
        "notes": Setting(
            (1, 2, 3, 4), 1, skill=True, about="notes to a chord; with more than one, passing tones"
        ),
    },
    studied=False,
    maker=_make,
    by="clef",
    about="With both clefs, the roots of the chords are in the bass.",
)
