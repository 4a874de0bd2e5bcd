"""Positions of chords, and other ways to name them: common practice, no source."""

from __future__ import annotations

_NAMES = {
    "root": ("root position", "R"),
    "1st": ("1st inversion", "first inversion", "first", "1"),
    "2nd": ("2nd inversion", "second inversion", "second", "2"),
    "3rd": ("3rd inversion", "third inversion", "third", "3"),
}
_FIGURES = {
    "root": ("5/3", "53"),
    "1st": ("6", "6/3", "63"),
    "2nd": ("6/4", "64"),
}
_SEVENTH_FIGURES = {
    "root": ("7",),
    "1st": ("6/5", "65"),
    "2nd": ("4/3", "43"),
    "3rd": ("4/2", "42"),
}


def other_names(position: str, seventh: bool = False) -> tuple[str, ...]:
    """What is accepted beside ``position``: longer names, and the figures of the inversion.

    The figure 2 of a seventh chord's third inversion is none of them: it is the number of
    the second.
    """
    return _NAMES[position] + (_SEVENTH_FIGURES if seventh else _FIGURES)[position]
