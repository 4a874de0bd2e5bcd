"""Chords on a degree of a key: their notes, names, Roman numerals and inversions.

Triads on 1 and 4 follow the mode; the chord on 5 is major in both modes (the
leading tone is raised in minor), and V7 adds the minor seventh.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from workbook.music.keys import Key
from workbook.music.pitch import Pitch, above, letter, note_name
from workbook.music.scales import degree

POSITIONS = ("root", "1st", "2nd")
_TONES = {"major": ("P1", "M3", "P5"), "minor": ("P1", "m3", "P5"),
          "dominant seventh": ("P1", "M3", "P5", "m7")}
_DEGREES = {"i": 1, "iv": 4, "v": 5}


@dataclass(frozen=True)
class Harmony:
    """A chord in a key. ``numeral`` is as printed: I, i, IV, iv, V, V7."""

    key: Key
    numeral: str

    @property
    def quality(self) -> str:
        if self.numeral.endswith("7"):
            return "dominant seventh"
        return "major" if self.numeral.isupper() else "minor"

    def root(self, octave: int) -> Pitch:
        """The root above (or on) the tonic of ``octave``."""
        return degree(self.key, _DEGREES[self.numeral.rstrip("7").lower()], octave)

    def tones(self, octave: int) -> tuple[Pitch, ...]:
        """Root position, low to high: three pitches, four for a seventh chord."""
        return tuple(above(self.root(octave), tone) for tone in _TONES[self.quality])

    @property
    def name(self) -> str:
        """The chord name as printed: ``F♯m``, ``E♭``, ``G7``."""
        suffix = {"major": "", "minor": "m", "dominant seventh": "7"}[self.quality]
        return note_name(self.root(4)) + suffix

    @property
    def other_names(self) -> tuple[str, ...]:
        """Other spellings of the name that a marker accepts."""
        root, words = note_name(self.root(4)), {
            "major": ("{} major", "{} maj", "{}M"), "minor": ("{} minor", "{} min", "{}min", "{}-"),
            "dominant seventh": ("{} dominant seventh", "{}dom7", "{} 7")}[self.quality]
        plain = root.replace("♯", "#").replace("♭", "b").replace("𝄪", "##").replace("𝄫", "bb")
        short = {"major": "", "minor": "m", "dominant seventh": "7"}[self.quality]
        names = [plain + short] if plain != root else []
        return tuple(names + [word.format(root) for word in words])


@lru_cache(maxsize=None)
def harmony(key: Key, degree_numeral: str) -> Harmony:
    """The chord a numeral asks for, in the case that the key's mode gives it.

    ``"I"`` in a minor key is ``i``, ``"IV"`` is ``iv``; ``"V"`` stays major.
    """
    upper = degree_numeral.upper()
    lowered = key.minor and upper in {"I", "IV"}
    return Harmony(key, upper.lower() if lowered else upper)


def inversion(chord: tuple[Pitch, ...], number: int) -> tuple[Pitch, ...]:
    """The chord with its lowest ``number`` notes moved up an octave, low to high."""
    return chord[number:] + tuple(above(p, "P8") for p in chord[:number])


def position(voicing: tuple[Pitch, ...], root: Pitch) -> str:
    """``"root"``, ``"1st"`` or ``"2nd"``: which chord tone a triad has lowest.

    Raises ValueError for a note that is no tone of a triad on ``root``.
    """
    steps = ("CDEFGAB".index(letter(voicing[0])) - "CDEFGAB".index(letter(root))) % 7
    if steps not in (0, 2, 4):
        raise ValueError(f"{voicing[0]} is not in the triad on {root}")
    return POSITIONS[steps // 2]
