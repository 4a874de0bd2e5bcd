"""Spellings: the notes of a key, and the choice of music that is spelled simply in it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cache
from typing import TypeVar

from workbook.music.keys import Key
from workbook.music.pitch import Pitch, above, alteration, letter
from workbook.music.scales import ascending

Choice = TypeVar("Choice")
Rank = tuple[int, bool, int]
"""Lower is better: double sharps and flats, whether a note is foreign, signs against the key."""


def moved(p: Pitch, octaves_up: int) -> Pitch:
    """The pitch moved by a number of octaves, down if negative."""
    return above(p, f"{'-' if octaves_up < 0 else ''}P{7 * abs(octaves_up) + 1}")


@cache
def key_notes(key: Key, octave: int = 4) -> tuple[Pitch, ...]:
    """The notes of a key from its tonic up, in minor with both seventh degrees."""
    if not key.minor:
        return ascending(key, "major", octave)[:7]
    return (*ascending(key, "natural", octave)[:7], ascending(key, "harmonic", octave)[6])


@cache
def _own(key: Key) -> frozenset[tuple[str, int]]:
    return frozenset((letter(p), alteration(p)) for p in key_notes(key))


def belongs(key: Key, notes: Iterable[Pitch]) -> bool:
    """Whether all ``notes`` are notes of the key."""
    return all((letter(p), alteration(p)) in _own(key) for p in notes)


def ranked(
    key: Key, choices: Iterable[Choice], notes: Callable[[Choice], tuple[Pitch, ...]], own: bool
) -> list[tuple[Rank, Choice]]:
    """The choices whose ``notes`` can be written, each with its rank before it.

    Double sharps and flats are worst; next, if the notes are to be the key's ``own``, come
    foreign notes; then foreign notes signed against a key of four or more sharps or flats.
    """
    found = []
    for choice in choices:
        try:
            spelled = notes(choice)
        except ValueError:  # more than a double sharp or flat
            continue
        foreign = [p for p in spelled if not belongs(key, (p,))]
        against = abs(key.fifths) > 3 and sum(alteration(p) * key.fifths < 0 for p in foreign)
        found.append(
            (
                (
                    sum(abs(alteration(p)) == 2 for p in spelled),
                    own and bool(foreign),
                    int(against),
                ),
                choice,
            )
        )
    return found


def best(ranked: Iterable[tuple[Rank, Choice]]) -> list[Choice]:
    """The choices of the lowest rank, from pairs of rank and choice."""
    ranked = list(ranked)
    lowest = min(rank for rank, _ in ranked)
    return [choice for rank, choice in ranked if rank == lowest]
