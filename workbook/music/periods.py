"""Periods: a question of four bars and an answer of four, as melodies over a bass of roots.

In: a key, a time, which values occur, how the phrases begin and close, a random source. Out:
two phrases of bars, notes and chords.

A question ends with a half cadence or an imperfect authentic one, its answer with a perfect
one; the period is parallel if both begin alike, and contrasting if not (Open Music Theory,
"The phrase, archetypes, and unique forms", from memory). Which chords stand in which bar:
common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from random import Random

from workbook.music.chords import Harmony, harmony
from workbook.music.embellishments import NEIGHBOR, PASSING
from workbook.music.keys import Key
from workbook.music.melodies import melody
from workbook.music.pitch import Pitch, staff_degree
from workbook.music.rhythm import Bar, Sound, Time, Value, bar, starts

BARS = 4
"""The bars of a phrase."""
CLOSES = ("half", "imperfect", "perfect")
"""How a phrase may end."""
_OPENINGS = ("I I", "I V", "I IV", "I vi")
"""The chords of the first two bars."""
_TURNS = {"half": ("I", "IV", "I IV", "ii"), "imperfect": ("V", "IV V"), "perfect": ("V", "IV V")}
"""Those of the third; of two, the second stands on the last beat."""
_FORMS = ((0, 0, 1), (0, 1, 0), (0, 1, 1))
"""Which rhythm each of the first three bars has."""
_MOST = 13
"""The most notes of a phrase, which stands on one line of music."""
_WIDEST = 9
"""The range of both phrases, in degrees: a tenth."""
_ANSWERS = 8
"""How many answers are tried for a question."""
_FOREIGN = 0.5
"""How often a note that may be foreign to its chord is."""
_LONG = {
    Fraction(1, 2): Value(2),
    Fraction(3, 4): Value(2, 1),
    Fraction(1): Value(1),
}
"""The note that fills a bar."""


@dataclass(frozen=True)
class Phrase:
    """Four bars of sounds, a note for each sound, and a chord for each note."""

    bars: tuple[Bar, ...]
    notes: tuple[Pitch, ...]
    chords: tuple[Harmony, ...]
    close: str

    def measures(self) -> list[tuple[tuple[Sound, Pitch], ...]]:
        """What stands in each bar."""
        line = list(zip((sound for one in self.bars for sound in one), self.notes))
        ends = [sum(map(len, self.bars[:n])) for n in range(BARS + 1)]
        return [tuple(line[first:last]) for first, last in pairwise(ends)]


@dataclass(frozen=True)
class Period:
    """A ``question`` and its ``answer``, which begins with as many of its bars as are ``alike``."""

    time: Time
    question: Phrase
    answer: Phrase
    alike: int

    @property
    def parallel(self) -> bool:
        return bool(self.alike)


def repeats(first: Phrase, second: Phrase) -> list[int | None]:
    """For each bar of the second phrase the one of the first that it repeats, from 0."""
    known = first.measures()
    return [known.index(one) if one in known else None for one in second.measures()]


def period(
    key: Key, time: Time, grade: str, alike: int, close: str, plain: bool, rng: Random
) -> Period:
    """A period whose answer begins with ``alike`` bars of the question, which closes with
    ``close``. If it is ``plain``, it is clear without a bass: its half cadence is not on the
    note that I has, too. No bar but those of the beginning comes twice.
    """
    while True:
        question = _phrase(key, time, grade, close, plain, rng)
        for _ in range(_ANSWERS if question else 0):
            answer = _phrase(key, time, grade, "perfect", True, rng, question, alike)
            if question and answer and _apart(question, answer, alike):
                return Period(time, question, answer, alike)


def _apart(question: Phrase, answer: Phrase, alike: int) -> bool:
    """Whether the phrases share their beginning and nothing else, and lie near each other."""
    first, second = question.measures(), answer.measures()
    degrees = [staff_degree(p) for p in (*question.notes, *answer.notes)]
    return (
        len(set(first)) == len(set(second)) == BARS
        and repeats(question, answer) == [*range(alike), *[None] * (BARS - alike)]
        and (alike > 0 or question.bars[0] != answer.bars[0])
        and (alike > 0 or question.notes[0] != answer.notes[0])
        and max(degrees) - min(degrees) <= _WIDEST
    )


def _phrase(
    key: Key,
    time: Time,
    grade: str,
    close: str,
    plain: bool,
    rng: Random,
    before: Phrase | None = None,
    alike: int = 0,
) -> Phrase | None:
    """A phrase at random that begins with as many bars of another one as are ``alike``."""
    bars = _bars(time, grade, rng)
    if before:
        bars = (*before.bars[:alike], *bars[alike:])
    if sum(map(len, bars)) > _MOST or (before and not alike and bars[0] == before.bars[0]):
        return None
    kept = sum(map(len, bars[:alike]))
    chords = _chords(key, time, bars, close, before.chords[:kept] if before else (), rng)
    notes = melody(
        key,
        chords,
        _plan(time, bars, chords, rng),
        rng,
        _ends(key, close, plain),
        before.notes[:kept] if before else (),
    )
    if notes is None or (close == "perfect" and _like(notes[-2], chords[-1], 2)):
        return None
    return Phrase(bars, notes, tuple(chords), close)


def _bars(time: Time, grade: str, rng: Random) -> tuple[Bar, ...]:
    """Three bars of two rhythms, with two notes or more, and one of a long note."""
    while True:
        pair = [bar(time, grade, False, rng) for _ in range(2)]
        if all(len(one) > 1 and _stands_well(one, time) for one in pair):
            break
    return (*(pair[n] for n in rng.choice(_FORMS)), (Sound(_LONG[time.length]),))


def _stands_well(one: Bar, time: Time) -> bool:
    """Whether no note of three beats begins after the first."""
    return all(
        not start or sound.value.length <= 2 * time.beat for sound, start in zip(one, starts(one))
    )


def _chords(
    key: Key,
    time: Time,
    bars: Sequence[Bar],
    close: str,
    kept: Sequence[Harmony],
    rng: Random,
) -> list[Harmony]:
    """The chord of each note; the first are those ``kept``. V does not go to IV or ii."""
    opening = [harmony(key, numeral) for numeral in rng.choice(_OPENINGS).split()]
    found = [chord for one, chord in zip(bars, opening) for _ in one]
    found[: len(kept)] = kept
    turns = [
        turn
        for turn in _TURNS[close]
        if not (key.minor and turn == "ii")
        and not (found[-1].degree == 5 and turn.split()[0] in ("ii", "IV"))
    ]
    own = [harmony(key, numeral) for numeral in rng.choice(turns).split()]
    second = time.length - time.beat
    if second not in starts(bars[2]):  # the second chord begins with a note
        own = own[-1:]
    found += [own[-1] if start >= second else own[0] for start in starts(bars[2])]
    return [*found, harmony(key, "V" if close == "half" else "I")]


def _plan(
    time: Time, bars: Sequence[Bar], chords: Sequence[Harmony], rng: Random
) -> list[str | None]:
    """Which notes are foreign to their chords: some off the beat, and weak quarters, but none
    with which a chord begins.
    """
    found: list[str | None] = []
    for number, one in enumerate(bars):
        for place, start in enumerate(starts(one)):
            weak = start % time.beat != 0 or (start > 0 and not time.compound)
            changes = bool(found) and chords[len(found)] != chords[len(found) - 1]
            free = weak and place and not changes and not found[-1]
            late = number >= BARS - 2 and place == len(one) - 1
            foreign = free and not late and rng.random() < _FOREIGN
            found.append(rng.choice((PASSING, PASSING, NEIGHBOR)) if foreign else None)
    return found


def _ends(key: Key, close: str, plain: bool) -> Callable[[Pitch], bool]:
    """Whether a note may be the last of a phrase."""
    tonic, dominant = harmony(key, "I"), harmony(key, "V")
    if close == "perfect":
        return lambda p: _like(p, tonic, 0)
    if close == "imperfect":
        return lambda p: _like(p, tonic, 1) or _like(p, tonic, 2)
    return lambda p: _like(p, dominant, 1) or _like(p, dominant, 2) or not plain


def _like(p: Pitch, chord: Harmony, tone: int) -> bool:
    """Whether a note is one of a chord's, by the number of the tone from its root."""
    own = chord.tones(4)[tone]
    return (p.step, p.signs) == (own.step, own.signs)
