"""Fingering conventions: the table in ``templates/fingering``, asked by key and hand.

In: a key, a hand, how many octaves. Out: one ``Finger`` per note, with the
fingers of the accepted alternatives.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache

from workbook.music.keys import Key, parse_key
from workbook.music.scales import forms
from workbook.resources import shipped


@dataclass(frozen=True)
class Finger:
    """The finger on one note, ``"1"`` to ``"5"``, and others that are accepted."""

    finger: str
    also: tuple[str, ...] = ()


@lru_cache(maxsize=1)
def _table() -> dict:
    data = tomllib.loads((shipped() / "fingering" / "traditional.toml").read_text("utf-8"))
    table: dict = {"chord": data["chord"]}
    for entry in data["scale"]:
        for key in map(parse_key, entry["keys"]):
            for form in entry.get("forms", forms(key)):
                table["scale", key, form] = entry
    for entry in data["arpeggio"]:
        for key in map(parse_key, entry["keys"]):
            table["arpeggio", key] = entry
    return table


def _versions(entry: dict, hand: str) -> list[str]:
    return [entry[hand], *entry.get(f"also_{hand}", ())]


def _merge(versions: list[str]) -> tuple[Finger, ...]:
    """One ``Finger`` a note: the first version, the others' digits as alternatives."""
    return tuple(Finger(main, tuple(dict.fromkeys(d for d in others if d != main)))
                 for main, *others in zip(*versions))


def _stretch(two: str, octaves: int) -> str:
    """A two-octave string over any number of octaves: ends kept, middle repeated."""
    return two[:7] + two[7:14] * (octaves - 1) + two[14]


def scale(key: Key, form: str, hand: str, octaves: int = 1) -> tuple[Finger, ...]:
    """Fingers up and down again: ``14 * octaves + 1`` of them, the top note once.

    Melodic minor comes down with the natural form's fingers, so a top note that
    both share is fingered as it was reached.
    """
    up = [_stretch(v, octaves) for v in _versions(_table()["scale", key, form], hand)]
    down_form = "natural" if form == "melodic" else form
    down = [_stretch(v, octaves)[::-1]
            for v in _versions(_table()["scale", key, down_form], hand)]
    return _merge(up) + _merge(down)[1:]


def arpeggio(key: Key, hand: str) -> tuple[Finger, ...]:
    """Fingers of the tonic arpeggio over one octave, up and down: seven of them."""
    up = _merge(_versions(_table()["arpeggio", key], hand))
    return up + up[-2::-1]


def chord(shape: str, hand: str) -> tuple[Finger, ...]:
    """Fingers of a close chord, low to high; ``shape`` is a position or ``"v7-third"``."""
    return _merge(_versions(_table()["chord"][shape], hand))
