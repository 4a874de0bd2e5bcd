"""What notes, keys and steps are called: the words that a teacher chooses.

In: pitches and keys. Out: text for pages. Note names are English (``B♭``, ``B``), German
(``B``, ``H``, with signs as syllables: ``Fis``, ``As``) or the fixed-do syllables of Italian,
French and Spanish. Words are those of North America (half step, whole step, measure) or of
Britain (semitone, tone, bar). Sources of the note names: LilyPond's Notation Reference,
"Note names in other languages"; for the exceptions in German, the Humdrum representation
"Tonh". The words for steps are common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from workbook.music.keys import Key
from workbook.music.pitch import Pitch, alteration, letter, note_name

LETTERS = ("english", "german", "italian", "french", "spanish")
STEPS = ("half step", "semitone")

_SYLLABLES = {
    "italian": dict(zip("CDEFGAB", ("Do", "Re", "Mi", "Fa", "Sol", "La", "Si"))),
    "french": dict(zip("CDEFGAB", ("Do", "Ré", "Mi", "Fa", "Sol", "La", "Si"))),
    "spanish": dict(zip("CDEFGAB", ("Do", "Re", "Mi", "Fa", "Sol", "La", "Si"))),
}
_SIGNS = {-2: "𝄫", -1: "♭", 0: "", 1: "♯", 2: "𝄪"}
_ENGLISH = re.compile(r"[A-G](?:[^a-z]|m|$)")
_SPOKEN = {"♭": "flat", "♯": "sharp", "♮": "natural", "𝄫": "double flat", "𝄪": "double sharp"}
_SIGN = re.compile(f"([{''.join(_SPOKEN)}])(?=(\\w)?)")
_GERMAN_SHORT = {
    ("E", -1): "Es",
    ("E", -2): "Eses",
    ("A", -1): "As",
    ("A", -2): "Ases",
    ("B", -1): "B",
    ("B", -2): "Heses",
}


@dataclass(frozen=True)
class Naming:
    """The words of a page: note names ``letters``, one of LETTERS, and ``steps``, one of STEPS."""

    letters: str = "english"
    steps: str = "half step"

    def note(self, p: Pitch) -> str:
        """The note's name, without its octave: ``F♯``, ``Fis``, ``Fa♯``."""
        if self.letters == "english":
            return note_name(p)
        if self.letters == "german":
            return _german(letter(p), alteration(p))
        return _SYLLABLES[self.letters][letter(p)] + _SIGNS[alteration(p)]

    def spoken(self, p: Pitch) -> str:
        """The note as it is read aloud, with its octave: ``F4``, ``F sharp 4``, ``Fis 4``."""
        name = in_words(self.note(p))
        return f"{name} {p.octave}" if len(name) > 1 else f"{name}{p.octave}"

    def key(self, key: Key, form: str = "") -> str:
        """The key's name: ``E♭ minor``, ``Es minor``, ``Mi♭ minor``; for a minor key with a
        ``form`` of its scale, ``E♭ harmonic minor``.
        """
        mode = f"{form} {key.mode}" if key.minor and form else key.mode
        return f"{self.note(key.tonic_in(4))} {mode}"

    @property
    def british(self) -> bool:
        """Whether the words are those of Britain."""
        return self.steps == "semitone"

    @property
    def half_step(self) -> str:
        return "half step" if self.steps == "half step" else "semitone"

    @property
    def whole_step(self) -> str:
        return "whole step" if self.steps == "half step" else "tone"

    @property
    def half_letter(self) -> str:
        """One letter for a box: H or S."""
        return "H" if self.steps == "half step" else "S"

    @property
    def whole_letter(self) -> str:
        """One letter for a box: W or T."""
        return "W" if self.steps == "half step" else "T"

    @property
    def leading_tone(self) -> str:
        """The seventh degree a half step below the tonic."""
        return "leading tone" if self.steps == "half step" else "leading note"

    @property
    def parallel(self) -> str:
        """What the key of the other mode on the same tonic is called: parallel or tonic."""
        return "parallel" if self.steps == "half step" else "tonic"

    @property
    def whole_notes(self) -> str:
        """Notes of four beats."""
        return "whole notes" if self.steps == "half step" else "semibreves"

    @property
    def measure(self) -> str:
        return "measure" if self.steps == "half step" else "bar"


def begins_in_english(chord: str) -> bool:
    """Whether a chord name begins with one of the letters from A to G, and not with a longer
    note name or with H.

    >>> begins_in_english("Cmaj7"), begins_in_english("Cism"), begins_in_english("Dom")
    (True, False, False)
    """
    return _ENGLISH.match(chord) is not None


def in_words(text: str) -> str:
    """``text`` with the signs of notes in words, as it is read aloud.

    >>> in_words("E♭ minor, F♯m")
    'E flat minor, F sharp m'
    """
    return text if text.isascii() else _SIGN.sub(_spoken_sign, text).strip()


def _spoken_sign(found: re.Match[str]) -> str:
    """The word for a sign, a space before it, and one after it before letters and digits."""
    return f" {_SPOKEN[found[1]]}{' ' * bool(found[2])}"


def _german(name: str, signs: int) -> str:
    """The letter with ``-is`` for each sharp or ``-es`` for each flat; B is H, B♭ is B."""
    if (name, signs) in _GERMAN_SHORT:
        return _GERMAN_SHORT[name, signs]
    return ("H" if name == "B" else name) + "is" * max(signs, 0) + "es" * max(-signs, 0)


ENGLISH = Naming()
