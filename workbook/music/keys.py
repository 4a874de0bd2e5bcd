"""Keys: the 15 major and 15 minor ones, their signatures, and how a teacher writes them.

In: a teacher's text. Out: ``Key`` values.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from workbook.inputs.key_names import english_key
from workbook.inputs.messages import plural, quoted
from workbook.inputs.suggestions import did_you_mean
from workbook.music.pitch import (
    Pitch,
    above,
    note_name,
    pitch,
    scientific,
    semitone,
)

_FIFTHS_LETTERS = "FCGDAEB"


@dataclass(frozen=True)
class Key:
    """A musical key: ``tonic`` in ASCII ("Bb", "F#") and ``mode`` ("major", "minor")."""

    tonic: str
    mode: str

    @property
    def fifths(self) -> int:
        """The number of sharps (positive) or flats (negative) in the signature, -7 to 7.

        It is the number in a MIDI key-signature event and in MusicXML's ``fifths``.
        """
        signs = self.tonic.count("#") - self.tonic.count("b")
        place = _FIFTHS_LETTERS.index(self.tonic[0]) - 1 + 7 * signs
        return place - (3 if self.mode == "minor" else 0)

    @property
    def minor(self) -> bool:
        return self.mode == "minor"

    @property
    def ascii(self) -> str:
        """The name for files: ``"Eb minor"``."""
        return f"{self.tonic} {self.mode}"

    @property
    def text(self) -> str:
        """The name for pages: ``"E♭ minor"``."""
        return f"{note_name(self.tonic_in(4))} {self.mode}"

    def tonic_in(self, octave: int) -> Pitch:
        """The tonic in an octave of scientific pitch notation."""
        return pitch(f"{self.tonic}{octave}")

    def __str__(self) -> str:
        return self.ascii


def _chain(first: str, count: int) -> list[str]:
    names, here = [], pitch(first + "4")
    for _ in range(count):
        names.append(scientific(here)[:-1])
        here = above(here, "P5")
        if scientific(here)[-1] != "4":
            here = above(here, "-P8")
    return names


ALL_MAJOR = tuple(Key(name, "major") for name in _chain("Cb", 15))
ALL_MINOR = tuple(Key(name, "minor") for name in _chain("Ab", 15))
ALL_KEYS = ALL_MAJOR + ALL_MINOR
"""All 30 keys that have a signature, seven flats to seven sharps, major then minor."""

_TWELVE_MAJOR = ["C", "G", "D", "A", "E", "B", "F#", "Db", "Ab", "Eb", "Bb", "F"]
_TWELVE_MINOR = ["A", "E", "B", "F#", "C#", "G#", "Eb", "Bb", "F", "C", "G", "D"]
TWELVE_MAJOR = tuple(Key(name, "major") for name in _TWELVE_MAJOR)
TWELVE_MINOR = tuple(Key(name, "minor") for name in _TWELVE_MINOR)
"""Each of the twelve major and minor keys in one spelling, round the circle of fifths."""

MOST_KEYS = 100
"""Keys of one list; there are 30."""
_FORM = 'write a letter, an accidental and major or minor, as in "Bb major"'
_MOST_SUGGESTED = 10
"""The number of wrong keys in one list that get a suggestion."""
_WORDS = re.compile(
    r"([A-Ga-g])[\s-]*(##|bb|#|b|♯|♭|sharp|flat)?[\s-]*(major|minor|maj|min)\.?\Z", re.IGNORECASE
)
_SIGN = {
    "#": "#",
    "♯": "#",
    "sharp": "#",
    "b": "b",
    "♭": "b",
    "flat": "b",
    "": "",
    "##": "##",
    "bb": "bb",
}


@cache
def parse_key(text: str, suggest: bool = True) -> Key:
    """The key a teacher wrote: ``f# minor``, ``Bb major``, ``E-flat minor``, ``c♯ minor``.

    Raises ValueError with a message that says what to write instead; with ``suggest=False``
    not what the words may stand for, which takes a while.
    """
    words = " ".join(text.split())
    match = _WORDS.match(words)
    if not match:
        hint = _suggest(words) if suggest else _FORM
        raise ValueError(f"{quoted(words)} is not a key; {hint}")
    name = match[1].upper() + _SIGN[(match[2] or "").lower()]
    mode = "major" if match[3].lower().startswith("maj") else "minor"
    key = Key(name, mode)
    if key not in ALL_KEYS:
        raise ValueError(
            f'"{words}" has no key signature; did you mean "{_same_sound(key).ascii}"?'
        )
    return key


def parse_keys(text: str, suggest: bool = True) -> tuple[Key, ...]:
    """Keys separated by ``;`` (or ``,``), with ``all major``, ``all minor``, ``all``.

    A repeated key is kept once. Raises ValueError with a line for each part that is wrong;
    ``suggest=False`` leaves out what the parts may stand for, which takes a while.
    """
    parts = [" ".join(part.split()) for part in re.split(r"[;,]", text)]
    if len(parts) > MOST_KEYS:
        told = f"{plural(len(parts), 'key')} in one list; write at most {MOST_KEYS}"
        raise ValueError(told)
    groups = {
        "all major": TWELVE_MAJOR,
        "all minor": TWELVE_MINOR,
        "all": TWELVE_MAJOR + TWELVE_MINOR,
    }
    found: dict[Key, None] = {}
    wrong: list[str] = []
    for words in filter(None, dict.fromkeys(parts)):
        try:
            hints = suggest and len(wrong) < _MOST_SUGGESTED
            keys = groups.get(words.lower()) or (parse_key(words, hints),)
        except ValueError as error:
            wrong.append(str(error))
        else:
            found.update(dict.fromkeys(keys))
    if wrong:
        raise ValueError("\n".join(wrong))
    if not found:
        raise ValueError('no key is given; write for example "C major; A minor" or "all"')
    return tuple(found)


def _suggest(words: str) -> str:
    if words.lower() in ("all", "all major", "all minor"):
        return 'write one key, such as "C major"'
    english = english_key(words)
    if english and english != words:
        return _suggest_english(english)
    short = re.match(r"([A-Ga-g])\s*([#♯b♭]?)\s*(m|M)?\Z", words)
    if short:
        mode = "minor" if short[3] == "m" or (short[1].islower() and not short[3]) else "major"
        return f'did you mean "{short[1].upper()}{_SIGN[short[2]]} {mode}"?'
    known = [*(key.ascii for key in ALL_KEYS), "all", "all major", "all minor"]
    return did_you_mean(words, known) or _FORM


def _suggest_english(name: str) -> str:
    """A suggestion from the English name of a key, which may have no key signature."""
    try:
        return f'did you mean "{parse_key(name).ascii}"?'
    except ValueError as error:
        return str(error).rpartition("; ")[2]


def _same_sound(key: Key) -> Key:
    twelve = TWELVE_MINOR if key.minor else TWELVE_MAJOR
    number = semitone(key.tonic_in(4)) % 12
    return next(k for k in twelve if semitone(k.tonic_in(4)) % 12 == number)


@cache
def signature(key: Key) -> dict[str, int]:
    """The alteration, in semitones, of each note letter that the signature alters."""
    count = key.fifths
    order = _FIFTHS_LETTERS if count > 0 else _FIFTHS_LETTERS[::-1]
    return dict.fromkeys(order[: abs(count)], 1 if count > 0 else -1)
