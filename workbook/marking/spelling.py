"""Normalizes spellings that mean the same.

In: text as typed or printed, and how to compare it. Out: a value that is equal for equal
answers. The decompositions are Unicode's (Standard Annex 15, form NFKD); the other sets of
signs are common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from functools import lru_cache

from workbook.record.matching import DASHES
from workbook.record.model import Match

Spelled = str | tuple[str, ...]

_BEFORE = str.maketrans(
    {
        **dict.fromkeys("º˚◦∘", "°"),
        "∅": "ø",
        "Ø": "ø",
        "✔": "✓",
        "𝄪": "##",
        "𝄫": "bb",
        "♯": "#",
        "♭": "b",
    }
)
_AFTER = str.maketrans(
    {**dict.fromkeys(DASHES, "-"), "⁄": "/", "∕": "/", **dict.fromkeys("Δ△∆", "δ"), "’": "'"}
)
_POINT = re.compile(r"(?<=[^\W\d_])\.")
"""The point of an abbreviation: maj. 3rd, P.A.C."""
_HYPHEN = re.compile(r"(?<=[^\W\d_])-(?=[^\W\d_])")
_LETTER = re.compile(r"[^\W\d_]")
_LONE_M = re.compile(r"(?<![A-Z]{2})M(?![A-Za-z])|M(?=[Mm])")
"""An M that is not part of a word: in CM, M7 and Mm7, but not in Maj or DIM."""
_CIRCLE = re.compile(r"o(?![^\W\d_]|°)")
_SIGN_WORDS = re.compile(r"[\s-]*(double[\s-]*)?(sharp|flat|natural)(?!s)", re.IGNORECASE)
_SIGN_APART = re.compile(r"\s+(?=[#♯♭𝄪𝄫♮])")
_NOTE = re.compile(
    r"(?:[a-h]|[a-h](?:is){1,2}|[a-h](?:es){1,2}|[ae]s(?:[ae]s)?"
    r"|do|re|mi|fa|sol|la|si)(?:#{0,2}|b{0,2})"
)
"""A note name in any of the languages, in small letters."""
_OCTAVE = re.compile(r"(?<=\D)\d$")
_BETWEEN = re.compile(r"(?:[\s,;/|+-]|\band\b)+")
_RUN_ON = re.compile(r"(?<=.)(?=[A-Z])")
_NO_NOTES = {"none", "no", "nothing", "0", "nosharpsorflats", "nosignature"}


@lru_cache(maxsize=8192)
def spelled(match: Match, text: str) -> Spelled:
    """``text`` in normalized spelling, equal for texts that ``match`` treats as the same."""
    return _KINDS[match](text.strip())


def _plain(text: str) -> str:
    """Text with plain letters, figures, dashes and signs, without accents and without the
    points of abbreviations; spaces stay.
    """
    parts = unicodedata.normalize("NFKD", text.translate(_BEFORE))
    kept = "".join(char for char in parts if unicodedata.category(char) != "Mn")
    return _POINT.sub("", kept.translate(_AFTER)).strip().rstrip(".").strip()


def _joined(text: str) -> str:
    """Plain text without spaces and without hyphens between letters."""
    return _HYPHEN.sub("", re.sub(r"\s+", "", _plain(text)))


def _text(text: str) -> str:
    return _joined(text).casefold()


def _small(text: str) -> str:
    """Text in small letters, except a lone M, with o as a circle."""
    lone = {found.start() for found in _LONE_M.finditer(text)}
    small = "".join(char if index in lone else char.lower() for index, char in enumerate(text))
    return _CIRCLE.sub("°", small)


def _symbol(text: str) -> str:
    return _small(_joined(text))


def _chord(text: str) -> str:
    root, slash, bass = _joined(_signed(text)).replace("(", "").replace(")", "").partition("/")
    # Do can be a note name, or D° as someone types it
    bare = _NOTE.fullmatch(root.lower()) and root not in ("Do", "DO")
    return (root[0] + root[1:].lower() if bare else _small(root)) + slash + bass.lower()


def _numeral(text: str) -> str:
    return _CIRCLE.sub("°", _joined(text))


def _signed(text: str) -> str:
    """Text with accidentals in words (``B flat``, ``Fx``) as signs, without naturals."""

    def sign(found: re.Match[str]) -> str:
        typed = {"sharp": "#", "flat": "b", "natural": ""}[found[2].lower()]
        return typed * (2 if found[1] else 1)

    joined = _SIGN_WORDS.sub(sign, _SIGN_APART.sub("", text))
    return re.sub(r"[xX]", "##", joined.replace("♮", ""))


def _note(text: str) -> str:
    return _OCTAVE.sub("", _text(_signed(text)))


def _names(text: str) -> tuple[str, ...]:
    """The note names in the order typed; () if the text says there are none."""
    if _text(text) in _NO_NOTES:
        return ()
    words = [word for word in _BETWEEN.split(_plain(_signed(text))) if word]
    return tuple(_note(name) for word in words for name in _apart(word))


def _apart(word: str) -> list[str]:
    """The names in a word: several in ``CEG`` and ``F#AC#``, one in ``SOL``."""
    parts = _RUN_ON.split(word)
    return parts if all(_NOTE.fullmatch(_note(part)) for part in parts) else [word]


def _notes(text: str) -> tuple[str, ...]:
    return tuple(sorted(_names(text)))


def _crossing(text: str) -> str:
    return _text(text).replace("-", "") or "-"


_KINDS: dict[Match, Callable[[str], Spelled]] = {
    Match.TEXT: _text,
    Match.SYMBOL: _symbol,
    Match.CHORD: _chord,
    Match.KEY: _chord,
    Match.NUMERAL: _numeral,
    Match.NOTE: _note,
    Match.NOTES: _notes,
    Match.IN_ORDER: _names,
    Match.CROSSING: _crossing,
}
