"""What a blank can ask for: the size of its box, its words, how its answers are spelled.

Kinds that several families ask for are here; a family declares a kind of its own in
its file. A kind has the width of its boxes, in millimetres for a middle hand; their height is the
same for all kinds and is part of the page's design.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, NamedTuple

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
from workbook.music.naming import begins_in_english

_ROUNDING = 0.05
NUMERALS = "Roman numerals (lower case for minor and diminished)"


class BoxSize(NamedTuple):
    """The width of a box in millimetres, and how many lines are written in it."""

    width: float
    lines: int = 1


@lru_cache(maxsize=1024)
def in_two(answer: str) -> tuple[str, ...]:
    """The words of an answer in two lines, of which the longer is as short as possible.

    >>> in_two("compound quadruple")
    ('compound', 'quadruple')
    """
    words = answer.split(" ")
    ways = [(" ".join(words[:end]), " ".join(words[end:])) for end in range(1, len(words))]
    return min(ways, key=lambda way: max(map(len, way)), default=(answer,))


@dataclass(frozen=True)
class AnswerKind:
    """What a blank asks for.

    ``name`` is the word in templates and in key.json, and ``about`` explains it in the
    README. ``size`` is the width of a box; None means that the answer is drawn on the music.
    ``longer`` are the widths in a row that has longer answers, each with the number of characters
    from which it is needed, in ascending order; ``foreign`` are those in a row with chord names
    that do not begin in English. ``stacked`` is the width of boxes one above the other for the
    notes of a chord. Answers in words of more than ``short`` characters stand in two lines, the
    longer of which counts.

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
    longer: tuple[tuple[int, float], ...] = ()
    foreign: tuple[tuple[int, float], ...] = ()
    stacked: float | None = None
    short: int | None = None
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

    @property
    def line(self) -> float:
        """The width of a box that has ``short`` characters in a line."""
        return self._wide(self.short or 0)

    def _wide(self, characters: int, foreign: bool = False) -> float:
        if self.size is None:
            raise ValueError(f'"{self.name}" has no box')
        widths = self.foreign if foreign else self.longer
        return next((wide for most, wide in reversed(widths) if characters >= most), self.size)

    def lines(self, answer: str, share: float = 1.0) -> tuple[str, ...]:
        """An answer as it stands in a box that is ``share`` times as wide as a ``line``: one line,
        or two.
        """
        if self.short is None or len(answer) <= self.short * max(share, 1.0) + _ROUNDING:
            return (answer,)
        return in_two(answer)

    def box(self, answers: Iterable[str] = (), printed: bool = False) -> BoxSize:
        """The size of the boxes of a row with these ``answers``; those that are only ``printed``
        have one line. Raises ValueError if there are no boxes.
        """
        shown = [(answer,) if printed else self.lines(answer) for answer in answers]
        longest = max((len(line) for lines in shown for line in lines), default=0)
        foreign = bool(self.foreign) and not all(begins_in_english(one[0]) for one in shown)
        return BoxSize(self._wide(longest, foreign), max(map(len, shown), default=1))


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
    longer=((4, 13.7), (5, 16.5), (6, 18.4), (7, 22.4)),
    foreign=((3, 13.2), (4, 15.6), (5, 17.6), (6, 20.6), (7, 22.6), (8, 24.0), (9, 27.4)),
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
    longer=((5, 16.5),),
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
    longer=((3, 11.6),),
    row="above",
    task="interval numbers",
    telling=IntervalName(),
)
QUALITY = AnswerKind(
    "quality", "the quality of a chord", 14.3, longer=((5, 17.0),), figured="chord"
)
NOTE = AnswerKind(
    "note",
    "the name of a note",
    9.0,
    longer=((3, 11.2), (4, 12.8), (5, 16.0)),
    words="notes",
    telling=Note(),
)
COUNT = AnswerKind("count", "how many there are", 8.0, telling=Telling("number"))
MAJOR = AnswerKind(
    "major",
    "a major key",
    12.0,
    longer=((4, 12.8),),
    words="notes",
    telling=KeyName("root"),
    called="Major key",
)
MINOR = AnswerKind(
    "minor",
    "a minor key",
    12.0,
    longer=((3, 12.8), (4, 15.2), (5, 16.4)),
    words="notes",
    telling=KeyName("root"),
    called="Minor key",
)
VALUE = AnswerKind(
    "value", "a note or rest to be written", None, words="values", called="Note or rest"
)
CADENCE = AnswerKind(
    "cadence",
    "the name of a cadence",
    27.0,
    longer=((11, 32.0),),
    words="cadence",
    telling=CadenceName(),
)
NOTES = AnswerKind(
    "notes", "notes to be written on the staff", None, words="notes", telling=Written()
)
