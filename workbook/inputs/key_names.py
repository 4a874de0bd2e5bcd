"""Names of musical keys in German, French, Italian and Spanish, put into English.

In: what a teacher wrote where an English key name belongs. Out: the English name, for a
suggestion. Sources: the note names are those of LilyPond's Notation Reference, "Note
names in other languages"; the words for sharp, flat, major and minor are common
practice, no source.
"""

from __future__ import annotations

import re

from workbook.inputs.suggestions import bare

_GERMAN_MODES = {"dur": "major", "moll": "minor"}
_MODES = {
    "major": "major",
    "minor": "minor",
    "maj": "major",
    "min": "minor",
    "majeur": "major",
    "mineur": "minor",
    "maggiore": "major",
    "minore": "minor",
    "mayor": "major",
    "menor": "minor",
}
_SYLLABLES = dict(zip(("do", "ut", "re", "mi", "fa", "sol", "la", "si"), "CCDEFGAB"))
_SIGNS = {
    "diese": "#",
    "diesis": "#",
    "sostenido": "#",
    "sharp": "#",
    "#": "#",
    "♯": "#",
    "bemolle": "b",
    "bemol": "b",
    "flat": "b",
    "b": "b",
    "♭": "b",
}
_KEY = re.compile(
    rf"(?P<note>{'|'.join(_SYLLABLES)}|[a-h](?:is|es|s)?)[\s-]*"
    rf"(?P<sign>{'|'.join(_SIGNS)})?[\s-]*"
    rf"(?P<mode>{'|'.join([*_GERMAN_MODES, *_MODES])})\.?"
)


def english_key(words: str) -> str:
    """The English name of a key named in another language, or "" if this is none.

    It need not be a key with a signature: ``Gis-Dur`` gives ``G# major``.

    >>> english_key("B-Dur"), english_key("h-Moll"), english_key("si bémol majeur")
    ('Bb major', 'B minor', 'Bb major')
    """
    match = _KEY.fullmatch(bare(words))
    if not match:
        return ""
    note, sign, mode = match["note"], _SIGNS.get(match["sign"], ""), match["mode"]
    if note in _SYLLABLES:
        tonic = _SYLLABLES[note] + sign
    else:
        tonic = _german(note, sign, certain=mode in _GERMAN_MODES)
    return f"{tonic} {_GERMAN_MODES.get(mode) or _MODES[mode]}" if tonic else ""


def _german(note: str, sign: str, certain: bool) -> str:
    """The English tonic: ``fis`` is F#, ``es`` Eb, ``h`` B and, if ``certain``, ``b`` Bb.

    A name that is both German and English (``b minor``) is German only if the mode is.
    """
    letter, ending = note[0], note[1:]
    if letter == "h":
        return "B" + ("#" if ending == "is" else sign if not ending else "b")
    if not ending:
        return "Bb" if letter == "b" and certain else letter.upper() + sign
    if ending == "s" and letter not in "ae":  # only As and Es are shortened
        return ""
    return letter.upper() + ("#" if ending == "is" else "b")
