"""Cadences: the name of the close that the last two chords of a phrase make.

Authentic and half cadences are defined as in Open Music Theory, "Classical cadence types";
plagal and deceptive: common practice, no source.
"""

from __future__ import annotations

from workbook.music.chords import Harmony

CADENCES = ("authentic", "half", "plagal", "deceptive")

OTHER_NAMES = {
    "authentic": ("perfect", "full"),
    "half": ("imperfect", "semi"),
    "plagal": (),
    "deceptive": ("interrupted", "broken"),
}
"""Other names of each cadence, many of them British: common practice, no source."""


def cadence(before: Harmony, last: Harmony) -> str | None:
    """One of ``CADENCES``, or None for two chords that make no cadence.

    A half cadence ends on the triad of V in root position, after any chord that is not a
    dominant of the key.
    """
    if last.target:
        return None
    dominant = _dominant(before)
    if last.degree == 5 and last.quality == "major" and not last.inversion:
        return None if dominant else "half"
    if last.kind.seventh:
        return None
    if dominant and last.degree == 1:
        return "authentic"
    if before.degree == 4 and not before.target and last.degree == 1:
        return "plagal"
    if before.degree == 5 and dominant and last.degree == 6 and not last.inversion:
        return "deceptive"
    return None


def _dominant(chord: Harmony) -> bool:
    """Whether the chord has the leading tone of the key: V, V7, vii° and their kin."""
    return not chord.target and (
        chord.quality in ("major", "dominant seventh")
        if chord.degree == 5
        else chord.degree == 7 and chord.kind.sign != ""
    )
