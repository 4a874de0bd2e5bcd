"""Cadences: the name of the close that the last two chords of a phrase make.

Authentic (perfect and imperfect) and half cadences are defined as in Open Music Theory,
"Classical cadence types"; plagal and deceptive: common practice, no source.
"""

from __future__ import annotations

from workbook.music.chords import Harmony
from workbook.music.pitch import Pitch, alteration, letter

CADENCES = ("authentic", "half", "plagal", "deceptive")

_BRITISH = {"authentic": "perfect", "half": "imperfect", "deceptive": "interrupted"}
_OTHER_NAMES = {
    "authentic": ("full", "AC"),
    "half": ("HC", "semi"),
    "plagal": (),
    "deceptive": ("broken", "DC"),
}
_PERFECT, _IMPERFECT = ("perfect authentic", "PAC"), ("imperfect authentic", "IAC")
"""Other names of each cadence, and abbreviations: common practice, no source."""


def printed_name(cadence: str, british: bool) -> str:
    """What a cadence is called; in Britain perfect, imperfect, plagal or interrupted."""
    return _BRITISH.get(cadence, cadence) if british else cadence


def other_names(cadence: str, british: bool, close: str = "") -> tuple[str, ...]:
    """What else is accepted for a cadence, each name also with the word ``cadence``.

    ``close`` says whether an authentic one is "perfect" or "imperfect". Imperfect alone is a
    half cadence in Britain, and perfect alone any authentic one; elsewhere only a perfect
    authentic one is called so.
    """
    main = printed_name(cadence, british)
    names = [main, cadence, *_OTHER_NAMES[cadence]]
    if cadence == "deceptive":
        names.append(_BRITISH[cadence])
    if cadence == "plagal" and not british:  # in Britain PC is the perfect one
        names.append("PC")
    if close == "perfect":
        names += [*_PERFECT, "perfect"]
    if close == "imperfect":
        names += _IMPERFECT
    whole = [f"{name} cadence" for name in names if not name.isupper()]
    return tuple(name for name in dict.fromkeys([*names, *whole]) if name != main)


def abbreviation(cadence: str, close: str) -> tuple[str, tuple[str, ...]]:
    """``"PAC"``, ``"IAC"`` or ``"HC"``, and the words that it stands for, in Britain too.

    Raises KeyError for a cadence that has none of these.
    """
    if cadence == "half":
        return "HC", ("half", "half cadence")
    words, short = {"perfect": _PERFECT, "imperfect": _IMPERFECT}[close]
    return short, (words, f"{words} cadence")


def closes(before: Harmony, last: Harmony, top: Pitch) -> str:
    """Whether an authentic cadence is ``"perfect"`` or ``"imperfect"``.

    Perfect are V or V7 and I in root position with the tonic as the highest note at the end.
    """
    rooted = before.degree == 5 and not before.inversion and not last.inversion
    tonic = last.root(4)
    same = letter(top) == letter(tonic) and alteration(top) == alteration(tonic)
    return "perfect" if rooted and same else "imperfect"


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
