"""Cadences: the name of the close that the last two chords of a phrase make.

Authentic (perfect or imperfect) and half cadences as Open Music Theory,
"Classical cadence types", defines them; plagal and deceptive: common practice,
no source.
"""

from __future__ import annotations

from workbook.music.chords import Harmony
from workbook.music.pitch import Pitch, alteration, letter, semitone

CADENCES = ("authentic", "half", "plagal", "deceptive")

OTHER_NAMES = {
    "authentic": ("perfect", "full"),
    "half": ("imperfect", "semi"),
    "plagal": (),
    "deceptive": ("interrupted", "broken"),
}
"""Other names for the same cadence, many of them British: common practice, no source."""


def cadence(before: Harmony, last: Harmony) -> str | None:
    """One of ``CADENCES``, or None for two chords that make none.

    A half cadence ends on the triad of V in root position, whatever precedes it.
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


def perfect(
    before: tuple[Harmony, tuple[Pitch, ...]], last: tuple[Harmony, tuple[Pitch, ...]]
) -> bool:
    """Whether an authentic cadence is perfect: V or V7 to I, both in root position,
    with the tonic in the highest voice. The pitches are all that sound.
    """
    (first, _), (end, notes) = before, last
    top, tonic = max(notes, key=semitone), end.root(4)
    return (
        cadence(first, end) == "authentic"
        and first.degree == 5
        and not first.inversion
        and not end.inversion
        and (letter(top), alteration(top)) == (letter(tonic), alteration(tonic))
    )


def _dominant(chord: Harmony) -> bool:
    """Whether the chord has the leading tone of the key: V, V7, vii° and their kin."""
    return not chord.target and (
        chord.quality in ("major", "dominant seventh")
        if chord.degree == 5
        else chord.degree == 7 and chord.kind.sign != ""
    )
