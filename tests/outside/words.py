"""A page in other words, as music21 and two lists of words have it.

In: an exercise with English names and the same one with others. ``compare`` raises
AssertionError where a label, a task, an answer or a reason is not the English one with its
notes and words replaced; an answer's ``AnswerKind`` says which of them it has. Notes:
music21's ``Pitch.german``, ``italian``, ``french``, ``spanish``; it spells signs out where the
page prints them. Words: common practice, no source.
"""

import re
from functools import cache

from music21 import pitch as m21pitch
from reading import read

from workbook.exercises.families import FAMILIES, KINDS

SIGNS = {
    "italian": {"♯": "diesis", "♭": "bemolle", "𝄪": "doppio diesis", "𝄫": "doppio bemolle"},
    "french": {"♯": "dièse", "♭": "bémol", "𝄪": "double dièse", "𝄫": "double bémol"},
    "spanish": {"♯": "sostenido", "♭": "bemol", "𝄪": "doble sostenido", "𝄫": "doble bemol"},
}
"""How music21 spells out the signs that the page prints."""
NOTE = re.compile(r"(?<![A-Za-z])([A-G])([♯♭𝄪𝄫]?)(?![A-Za-z:]|\+)")
SYMBOL = re.compile(r"([A-G][♯♭𝄪𝄫]?)([^/]*)(?:/(.*))?")
_BRITISH = {
    "half step": "semitone",
    "whole step": "tone",
    "leading tone": "leading note",
    "measure": "bar",
    "chord tone": "chord note",
    "passing tone": "passing note",
    "neighbor tone": "auxiliary note",
    "escape tone": "escape note",
    "whole notes": "semibreves",
    "parallel or contrasting": "parallel or contrasting",  # a period
    "parallel": "tonic",  # a key
    "authentic": "perfect",
    "half,": "imperfect,",
    "half.": "imperfect.",
    "half or": "imperfect or",
    "deceptive": "interrupted",
}
_VALUES = {
    "whole": "semibreve",
    "half": "minim",
    "quarter": "crotchet",
    "eighth": "quaver",
    "sixteenth": "semiquaver",
}
_CADENCES = {"authentic": "perfect", "half": "imperfect", "deceptive": "interrupted"}
_LETTERS = {"W": "T", "H": "S", "W+H": "T+S"}


@cache
def name(note: str, language: str) -> str:
    """A printed English note name in another language: ``"B♭"`` is ``"Sib"``'s ``"Si♭"``."""
    if language == "english":
        return note
    found = getattr(m21pitch.Pitch(read(note)), language)
    if language == "german":
        return found
    word, _, sign = found.partition(" ")
    return word.capitalize() + {words: s for s, words in SIGNS[language].items()}.get(sign, "")


def notes_in(text: str, language: str) -> str:
    """A text with its English note names in another language."""
    return NOTE.sub(lambda match: name(match[0], language), text)


def steps_in(text: str, steps: str) -> str:
    """A text with its words for steps as one side of the ocean has them."""
    if steps == "half step":
        return text

    def british(match) -> str:
        word = _BRITISH[match[0].lower()]
        return word.capitalize() if match[0][0].isupper() else word

    return re.sub("|".join(map(re.escape, _BRITISH)), british, text, flags=re.IGNORECASE)


def values_in(text: str, steps: str) -> str:
    """A text with its names of note values as one side of the ocean has them."""
    if steps == "half step":
        return text
    names = "|".join(_VALUES)
    return re.sub(rf"\b({names})( notes?\b)?", _british_value, text)


def _british_value(match) -> str:
    return _VALUES[match[1]] + "s" * bool(match[2] and match[2].endswith("s"))


def answer(blank, naming) -> str:
    """The answer that an English blank has on a page with other words."""
    text, words = blank.answer, KINDS[blank.asks].words
    if text == "none" or (naming.letters == "english" and words == "notes"):
        return text
    if words == "notes" and text[0].islower():  # a minor key on the circle of fifths
        there = notes_in(text[0].upper() + text[1:], naming.letters)
        german = naming.letters == "german"
        return there[0].lower() + there[1:] if german else f"{there}m"
    if words == "notes":
        return notes_in(text, naming.letters)
    if words == "symbol":
        root, kind, bass = SYMBOL.fullmatch(text).groups()
        return (
            name(root, naming.letters) + kind + (f"/{name(bass, naming.letters)}" if bass else "")
        )
    if words == "cadence":
        return text if naming.steps == "half step" else _CADENCES.get(text, text)
    if words == "letters":
        return text if naming.steps == "half step" else _LETTERS.get(text, text)
    if words == "values":
        return values_in(text, naming.steps)
    return steps_in(text, naming.steps) if words == "steps" else text


def compare(english, other, naming) -> None:
    assert other.label == steps_in(notes_in(english.label, naming.letters), naming.steps)
    task = steps_in(english.task, naming.steps)
    letters = any(kind.words == "letters" for kind in FAMILIES[english.family].kinds)
    if letters and naming.steps != "half step":
        task = re.sub(r"\b(W\+H|W|H)\b", lambda match: _LETTERS[match[0]], english.task)
        task = steps_in(task, naming.steps)
    if any(kind.words == "values" for kind in FAMILIES[english.family].kinds) or (
        english.family == "counting"
    ):
        task = values_in(task, naming.steps)
    assert other.task == task
    assert (other.staves, other.figure) == (english.staves, english.figure)
    for one, two in zip(english.blanks, other.blanks, strict=True):
        assert (one.tag, one.of, one.given) == (two.tag, two.of, two.given)
        assert two.answer == answer(one, naming), (one, two.answer)
        assert two.why == notes_in(one.why, naming.letters)
