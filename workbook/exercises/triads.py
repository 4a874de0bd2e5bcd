"""Triads of four qualities on any root, and what each quality is called."""

from __future__ import annotations

from workbook.music.pitch import Pitch, above
from workbook.music.qualities import QUALITIES

WORDS = {
    "major": ("major", ("M", "maj")),
    "minor": ("minor", ("m", "min")),
    "diminished": ("dim", ("°", "d", "diminished")),
    "augmented": ("aug", ("+", "A", "augmented")),
}
"""The answer for each quality, and what else is accepted."""


def triad(root: Pitch, quality: str) -> tuple[Pitch, ...]:
    """Three pitches in root position.

    Raises ValueError if one needs more than a double sharp or flat.
    """
    return tuple(above(root, tone) for tone in QUALITIES[quality].tones)
