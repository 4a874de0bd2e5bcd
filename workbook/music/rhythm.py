"""Rhythm: note values, time signatures, and bars made of idiomatic beats.

In: a time signature, which values occur, a random source. Out: bars of sounds that fill it.
Lengths are fractions of a whole note. The beats of each grade are common practice, no source;
that they fill their bars, how they are beamed and what kind of time they are in is checked
against music21 (``tests/outside/rhythms.py``).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import accumulate
from random import Random


@dataclass(frozen=True)
class Value:
    """A note value: ``base`` 4 is a quarter of a whole note; each dot adds half of what is
    before it.
    """

    base: int
    dots: int = 0

    @property
    def length(self) -> Fraction:
        """Its length in whole notes."""
        return _value_length(self.base, self.dots)

    def __str__(self) -> str:
        return f"{self.base}{'.' * self.dots}"


@cache
def _value_length(base: int, dots: int) -> Fraction:
    return Fraction(2 ** (dots + 1) - 1, base * 2**dots)


@dataclass(frozen=True)
class Sound:
    """A note, or a ``rest``; ``tied`` to the note after it."""

    value: Value
    rest: bool = False
    tied: bool = False


Bar = tuple[Sound, ...]


@dataclass(frozen=True)
class Time:
    """A time signature: ``count`` notes of the value 1/``unit``.

    >>> str(Time(6, 8)), Time(6, 8).compound, Time(6, 8).beats
    ('6/8', True, 2)
    """

    count: int
    unit: int

    @property
    def compound(self) -> bool:
        """Whether each beat is a dotted note that divides into three."""
        return self.count > 3 and self.count % 3 == 0

    @property
    def beats(self) -> int:
        return self.count // 3 if self.compound else self.count

    @property
    def beat(self) -> Fraction:
        """The length of a beat in whole notes."""
        return self.length / self.beats

    @property
    def length(self) -> Fraction:
        return Fraction(self.count, self.unit)

    @property
    def group(self) -> Fraction:
        """What one beam may reach over: a beat, but the bar of 3/8."""
        return self.length if (self.count, self.unit) == (3, 8) else self.beat

    def __str__(self) -> str:
        return f"{self.count}/{self.unit}"


SIMPLE = (Time(2, 4), Time(3, 4), Time(4, 4))
COMPOUND = (Time(6, 8), Time(9, 8), Time(12, 8))
GRADES = ("quarters", "eighths", "dotted", "sixteenths")
"""What occurs in a rhythm, each with all before it."""

_SIMPLE_BEATS: dict[str, tuple[str, ...]] = {
    "quarters": ("4", "2", "2.", "1"),
    "eighths": ("8 8",),
    "dotted": ("4. 8",),
    "sixteenths": ("16 16 16 16", "8 16 16", "16 16 8", "8. 16"),
}
_SIMPLE_RESTS: dict[str, tuple[str, ...]] = {"quarters": ("r4",), "eighths": ("r8 8", "8 r8")}
_COMPOUND_BEATS: dict[str, tuple[str, ...]] = {
    "quarters": ("4.", "2.", "4 8"),
    "eighths": ("8 8 8", "8 4"),
    "dotted": ("8. 16 8",),
    "sixteenths": ("8 16 16 8", "16 16 8 8", "8 8 16 16", "16 16 16 16 16 16"),
}
_COMPOUND_RESTS: dict[str, tuple[str, ...]] = {
    "quarters": ("r4.", "4 r8"),
    "eighths": ("8 8 r8", "r8 8 8"),
}


def sounds(text: str) -> Bar:
    """The sounds of ``"8. 16 r4"``: values, with an r for a rest and ~ for a tie."""
    return tuple(
        Sound(
            Value(int(word.strip("r.~")), word.count(".")), word.startswith("r"), word.endswith("~")
        )
        for word in text.split()
    )


def length(bar: Sequence[Sound]) -> Fraction:
    """The length of sounds in whole notes."""
    return sum((sound.value.length for sound in bar), Fraction())


def starts(bar: Sequence[Sound]) -> tuple[Fraction, ...]:
    """Where each sound begins, in whole notes from the first."""
    return tuple(accumulate((s.value.length for s in bar[:-1]), initial=Fraction()))


@cache
def _beats(compound: bool, grade: str, rests: bool) -> tuple[tuple[Bar, bool], ...]:
    """Groups of sounds that fill one beat or more, and whether each is new at ``grade``."""
    tables = [_COMPOUND_BEATS if compound else _SIMPLE_BEATS]
    if rests:
        tables.append(_COMPOUND_RESTS if compound else _SIMPLE_RESTS)
    known = GRADES[: GRADES.index(grade) + 1]
    return tuple(
        (sounds(text), name == grade)
        for table in tables
        for name in known
        for text in table.get(name, ())
    )


_NEW, _KNOWN = 3, 2
"""How often groups that are new at a grade come, and those known before."""


def bar(time: Time, grade: str, rests: bool, rng: Random) -> Bar:
    """A bar at random of the beats of ``grade`` and those before.

    A group of two beats begins where half a bar does, or with a beat in triple time.
    """
    found: list[Sound] = []
    here = Fraction()
    while here < time.length:
        groups, weights = _fitting(time, grade, rests, here)
        chosen = rng.choices(groups, weights)[0]
        found += chosen
        here += length(chosen)
    return tuple(found)


@cache
def _fitting(
    time: Time, grade: str, rests: bool, here: Fraction
) -> tuple[tuple[Bar, ...], tuple[int, ...]]:
    """The groups that may begin at ``here`` in a bar, and their weights."""
    found = [
        (group, _NEW if new else _KNOWN)
        for group, new in _beats(time.compound, grade, rests)
        if _may_begin(length(group), here, time)
    ]
    return tuple(group for group, _ in found), tuple(weight for _, weight in found)


def _may_begin(wide: Fraction, here: Fraction, time: Time) -> bool:
    if here + wide > time.length:
        return False
    beats, at = wide / time.beat, here / time.beat
    return beats != 2 or time.beats % 2 == 1 or at % 2 == 0


def bars(time: Time, grade: str, rests: bool, count: int, rng: Random) -> tuple[Bar, ...]:
    """``count`` bars, no two alike while others are found; at least one has what is new at
    ``grade``, and each has a note.
    """
    new = {group for group, is_new in _beats(time.compound, grade, rests) if is_new}
    for _ in range(_TRIES):
        found = _different(time, grade, rests, count, rng)
        if any(_has(one, group) for one in found for group in new):
            break
    return found


_TRIES = 30


def _different(time: Time, grade: str, rests: bool, count: int, rng: Random) -> tuple[Bar, ...]:
    found: list[Bar] = []
    for _ in range(count):
        for _ in range(_TRIES):
            one = bar(time, grade, rests, rng)
            if one not in found and not all(sound.rest for sound in one):
                break
        found.append(one)
    return tuple(found)


def _has(one: Bar, group: Bar) -> bool:
    return any(one[at : at + len(group)] == group for at in range(len(one)))


def groups(one: Sequence[Sound], time: Time) -> list[list[int]]:
    """The sounds of a bar that a beam joins, each group by its indices: eighths and shorter
    notes of one beat that follow each other.
    """
    found: list[list[int]] = []
    before: Fraction | None = None
    for index, (sound, start) in enumerate(zip(one, starts(one))):
        beat = start // time.group
        flagged = sound.value.base >= 8 and not sound.rest
        if flagged and found and before == beat and found[-1][-1] == index - 1:
            found[-1].append(index)
        elif flagged:
            found.append([index])
        before = Fraction(beat) if flagged else None
    return [group for group in found if len(group) > 1]


def counts(one: Sequence[Sound], time: Time) -> Iterator[str]:
    """What is counted where each sound of a bar begins.

    Beats are 1, 2, 3 and their quarters e, &, a. In compound time, and in 3/8, the eighths are
    counted 1 to 6, 9 or 12, and & is half way between.
    """
    step = Fraction(1, 8) if time.compound else time.beat
    for start in starts(one):
        number, rest = divmod(start, step)
        yield str(number + 1) if not rest else _PARTS[rest / step]


_PARTS = {Fraction(1, 4): "e", Fraction(1, 2): "&", Fraction(3, 4): "a"}


def clear(one: Sequence[Sound], time: Time, times: Sequence[Time]) -> bool:
    """Whether a bar shows by its beams and values that it is in ``time`` and in no other of
    ``times``.
    """
    others = [other for other in times if other != time and other.length == length(one)]
    return length(one) == time.length and not any(
        _reads(one, other) and groups(one, other) == groups(one, time) for other in others
    )


def _reads(one: Sequence[Sound], time: Time) -> bool:
    """Whether a bar could be read in ``time``: a sound that begins within a beat ends there."""
    ends = [start + sound.value.length for start, sound in zip(starts(one), one)]
    return all(
        start % time.beat == 0 or end <= (start // time.beat + 1) * time.beat
        for start, end in zip(starts(one), ends)
    )


KINDS = ("duple", "triple", "quadruple")


def kind(time: Time) -> str:
    """``"compound duple"``: the kind of a time by its beats."""
    return f"{'compound' if time.compound else 'simple'} {KINDS[time.beats - 2]}"


def scaled(time: Time, factor: Fraction) -> Time:
    """The time of a rhythm whose values are multiplied by ``factor``."""
    return Time(time.count, int(time.unit / factor))


def scaled_value(value: Value, factor: Fraction) -> Value:
    """A value multiplied by ``factor``, a power of two."""
    return Value(int(value.base / factor), value.dots)
