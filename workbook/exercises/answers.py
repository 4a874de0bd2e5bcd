"""What a blank can ask for: the size of its box, its words, how its answers are spelled.

Kinds that several families ask for are here; a family declares a kind of its own in
its file. A kind has the width of its boxes, in millimetres for a middle hand; their height is the
same for all kinds and is part of the page's design.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from workbook.exercises.telling import (
    PLAIN,
    CadenceName,
    ChordName,
    IntervalName,
    KeyName,
    Note,
    NumeralName,
    Played,
    Telling,
    Written,
)

NUMERALS = "Roman numerals (lower case for minor and diminished)"


@dataclass(frozen=True)
class AnswerKind:
    """What a blank asks for.

    ``name`` is the word in templates and in key.json, and ``about`` explains it in the
    README. ``size`` is the width of a box; None means that the answer is drawn on the music.
    ``long`` is the width in a row that has an answer of more than four characters, and
    ``stacked`` that of boxes one above the other for the notes of a chord.

    ``row`` says where the boxes stand: above everything, above the right hand, next to the
    notes (above the right hand, below the left), below, or at the end of each staff. ``task`` is
    what a task calls the answers.

    ``words`` says what of an answer changes with the names of notes and steps: every note
    name in it, a chord symbol's root and bass, the words for steps, their letters, the
    name of a cadence, or a note value. ``telling`` says how what else is accepted is told.
    ``played`` answers are fingers, whose alternatives belong to whole fingerings. ``figured``
    answers are printed as musicians write them, and typed and stored in plain text: a Roman
    numeral, a chord symbol or a quality, the figures of a bass, or words in which such symbols
    stand (see ``typesetting.figured``).

    ``called`` is what a table calls the answers if the ``name`` does not say it. ``usual`` is
    what most of the boxes hold, so that a list of answers need name only the others. ``worded``
    answers are words of any length: where there is no music, each line of boxes on the page is a
    line of the list.
    """

    name: str
    about: str
    size: float | None
    long: float | None = None
    stacked: float | None = None
    row: Literal["top", "above", "next", "below", "end"] = "below"
    task: str = ""
    words: Literal["", "notes", "symbol", "steps", "letters", "cadence", "values"] = ""
    telling: Telling = PLAIN
    played: bool = False
    figured: Literal["", "numeral", "chord", "figures", "words"] = ""
    called: str = ""
    usual: str = ""
    worded: bool = False

    @property
    def title(self) -> str:
        """What a table calls the answers: ``"Chord name"``."""
        return self.called or self.name.capitalize()

    def box(self, long: bool = False, stacked: bool = False) -> float:
        """The width of a box. Raises ValueError if there is none of that sort."""
        size = self.stacked if stacked else self.long if long and self.long else self.size
        if size is None:
            raise ValueError(f'"{self.name}" has no {"stacked " * stacked}box')
        return size


FINGER = AnswerKind(
    "finger",
    "the finger that plays a note",
    8.0,
    stacked=7.0,
    row="next",
    task="finger numbers",
    telling=Played(),
    played=True,
)
CHORD = AnswerKind(
    "chord",
    "the name of a chord",
    12.4,
    long=16.5,
    row="top",
    task="chord names",
    words="symbol",
    telling=ChordName("root"),
    called="Chord name",
    figured="chord",
)
NUMERAL = AnswerKind(
    "numeral",
    "a chord's Roman numeral",
    12.4,
    long=16.5,
    task=NUMERALS,
    telling=NumeralName(),
    figured="numeral",
)
POSITION = AnswerKind(
    "position",
    "a chord's position: root, 1st, 2nd, 3rd",
    12.0,
    task="positions (root, 1st, 2nd)",
)
FIGURE = AnswerKind("figure", "the figures of an inversion", 9.0, row="above", figured="figures")
INTERVAL = AnswerKind(
    "interval",
    "an interval: its number, or its quality and number",
    9.5,
    row="above",
    task="interval numbers",
    telling=IntervalName(),
)
QUALITY = AnswerKind("quality", "the quality of a chord", 14.3, long=17.0, figured="chord")
NOTE = AnswerKind("note", "the name of a note", 9.0, words="notes", telling=Note())
COUNT = AnswerKind("count", "how many there are", 8.0, telling=Telling("number"))
MAJOR = AnswerKind(
    "major", "a major key", 12.0, words="notes", telling=KeyName("root"), called="Major key"
)
MINOR = AnswerKind(
    "minor", "a minor key", 12.0, words="notes", telling=KeyName("root"), called="Minor key"
)
VALUE = AnswerKind(
    "value", "a note or rest to be written", None, words="values", called="Note or rest"
)
CADENCE = AnswerKind(
    "cadence", "the name of a cadence", 20.0, words="cadence", telling=CadenceName()
)
NOTES = AnswerKind(
    "notes", "notes to be written on the staff", None, words="notes", telling=Written()
)
