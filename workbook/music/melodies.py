"""Melodies over given chords, with non-chord tones where a plan puts them, found by search.

In: a key, the chord of each note and the kind of each note. Out: pitches around the tonic in
octave 4. The melody moves by steps more than by leaps, leaps a fifth at most, and has no
augmented or diminished step or leap; in minor the leading tone stands where it rises or where
its chord has it. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cache
from random import Random

from workbook.music.chords import Harmony
from workbook.music.embellishments import contains, embellishment
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, interval_name, staff_degree
from workbook.music.scales import ascending

LEAP, SPAN = 4, 8
"""The widest leap and the widest range, in degrees: a fifth and a ninth."""
_TURN, _BUDGET = 3.0, 400
"""How much of a melody is chance, in degrees; and the most notes that one search tries."""

Plan = Sequence[str | None]
"""For each note the kind of non-chord tone that it is, or None for a chord tone."""


@cache
def ladder(key: Key) -> tuple[Pitch, ...]:
    """The notes that melodies are made of, from the fifth below the tonic up to the tenth."""
    forms = ("natural", "harmonic") if key.minor else ("major",)
    found = {p for form in forms for p in ascending(key, form, 3, 3)}
    home = staff_degree(key.tonic_in(4))
    return tuple(sorted(p for p in found if -3 <= staff_degree(p) - home <= 9))


def melody(
    key: Key,
    chords: Sequence[Harmony],
    plan: Plan,
    rng: Random,
    ends: Callable[[Pitch], bool] = lambda _: True,
    begins: Sequence[Pitch] = (),
) -> tuple[Pitch, ...] | None:
    """A note for each of the ``chords``, of the kind that the ``plan`` asks for; the last is one
    for which ``ends`` is true, and the first are those that it ``begins`` with, as they are.
    None if chance finds no melody.
    """
    notes, budget = ladder(key), [_BUDGET]

    def extend(line: list[Pitch]) -> list[Pitch] | None:
        if len(line) == len(chords):
            return line
        for p in _choices(notes, line, rng):
            budget[0] -= 1
            if budget[0] < 0:
                return None
            if _may_follow(key, line, p, chords, plan, ends):
                found = extend([*line, p])
                if found:
                    return found
        return None

    found = extend(list(begins))
    return tuple(found) if found else None


def _choices(notes: Sequence[Pitch], line: Sequence[Pitch], rng: Random) -> Iterator[Pitch]:
    """The notes that may follow, the nearer ones sooner."""
    last = staff_degree(line[-1]) if line else None
    reach = [p for p in notes if last is None or abs(staff_degree(p) - last) <= LEAP]
    weights = [
        (rng.random() * _TURN + (abs(staff_degree(p) - last) if last is not None else 0), p)
        for p in reach
    ]
    yield from (p for _, p in sorted(weights))


def _may_follow(
    key: Key,
    line: list[Pitch],
    p: Pitch,
    chords: Sequence[Harmony],
    plan: Plan,
    ends: Callable[[Pitch], bool],
) -> bool:
    here = len(line)
    if contains(chords[here], p) != (plan[here] is None):
        return False
    if here == len(chords) - 1 and not ends(p):
        return False
    if not line:
        return True
    degrees = [staff_degree(one) for one in (*line, p)]
    if max(degrees) - min(degrees) > SPAN or not _sung(line[-1], p):
        return False
    if key.minor and not _minor(key, line, p, chords):
        return False
    if plan[here - 1] is None:
        return p != line[-1] or plan[here] == "suspension"
    return embellishment(line[-2], line[-1], p) == plan[here - 1]


@cache
def _sung(a: Pitch, b: Pitch) -> bool:
    """Whether the step or leap is neither augmented nor diminished, nor a chromatic one."""
    return a == b or (staff_degree(a) != staff_degree(b) and interval_name(a, b)[0] not in "Ad")


def _minor(key: Key, line: list[Pitch], p: Pitch, chords: Sequence[Harmony]) -> bool:
    """Whether the seventh degrees of minor are used as they should be.

    The raised one belongs to its chord or rises to the tonic; the natural one does not rise to
    it, nor stand against a chord with the raised one.
    """
    last, number = line[-1], len(line)
    natural, raised = _sevenths(key)

    def is_(one: Pitch, other: Pitch) -> bool:
        return (one.step, one.signs) == (other.step, other.signs)

    rises = staff_degree(p) - staff_degree(last) == 1
    if is_(p, natural) and contains(chords[number], raised):
        return False
    if is_(p, raised) and contains(chords[number], natural):
        return False
    if is_(last, natural) and rises:
        return False
    kept = contains(chords[number - 1], raised) and contains(chords[number], raised)
    return not is_(last, raised) or rises or (kept and contains(chords[number], p))


@cache
def _sevenths(key: Key) -> tuple[Pitch, Pitch]:
    """The natural and the raised seventh degree."""
    return ascending(key, "natural", 4)[6], ascending(key, "harmonic", 4)[6]
