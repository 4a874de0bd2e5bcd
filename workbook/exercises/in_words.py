"""The music of an exercise in words, for screen readers.

In: an exercise, and whether its answers are given. Out: a text. Without answers it says what the
workbook prints and how many boxes are to be filled, and is the same whatever the answers are:
where the name of a note is asked, it gives the note's position.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import groupby

from workbook.exercises.answers import NOTE, AnswerKind
from workbook.exercises.families import KINDS
from workbook.exercises.figures import Circle, Figure, Grid, Keyboard
from workbook.exercises.model import DRAWN, Blank, Event, Exercise, Staff
from workbook.exercises.rhythm_in_words import (
    bar_in_words,
    has_rhythm,
    sound_in_words,
    time_in_words,
)
from workbook.music import naming as words
from workbook.music.keys import Key, signature
from workbook.music.naming import ENGLISH, Naming
from workbook.music.pitch import Pitch, alteration, is_black, letter, semitone, staff_degree
from workbook.music.signs import NAMED

_BOTTOM = {"treble": 30, "bass": 18}
"""The staff degree of the lowest line: E4 and G2 (LilyPond's Notation Reference, "Clef")."""
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")
_SIGNS = {-2: "double flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double sharp"}
_REPEATS = {".|:": "thick bar line, two dots after it", ":|.": "thick bar line, two dots before it"}
_OCTAVE_LINES = {2: "two octaves higher", 1: "an octave higher", -1: "an octave lower"}


def in_words(exercise: Exercise, naming: Naming = ENGLISH, answered: bool = False) -> str:
    """What is drawn of ``exercise``; with its answers if ``answered``, as on the answer key."""
    parts = [words.in_words(exercise.label)]
    if exercise.figure is None:
        alike = not _names_are_asked(exercise) and not _staves_tell_answers(exercise)
        parts += exercise.once(_staves, naming, answered or alike)
    else:
        parts += _figure(exercise, exercise.figure, naming, answered)
    parts += _rows(exercise, answered)
    return " ".join(f"{part.rstrip('.')}." for part in filter(None, parts))


def counted(number: int, word: str) -> str:
    """``"no sharps"``, ``"1 sharp"``, ``"2 sharps"``."""
    return f"{number or 'no'} {word}{'s' * (number != 1)}"


def _signature(key: Key) -> str:
    if not key.fifths:
        return "no sharps or flats"
    kind = counted(abs(key.fifths), "sharp" if key.fifths > 0 else "flat")
    return f"key signature of {kind}"


def _names_are_asked(exercise: Exercise) -> bool:
    """Whether the names of the notes are the answers."""
    return any(blank.asks == NOTE.name for blank in exercise.asked)


def _staves_tell_answers(exercise: Exercise) -> bool:
    """Whether the staves in words depend on whether the answers are given: there is something to
    write on them, or the name of a note value is asked.
    """
    return any(blank.asks == "called" for blank in exercise.asked) or any(
        event.written or event.signature_written or event.pen or event.pen_bar
        for staff in exercise.staves
        for event in staff.events
    )


def _staves(exercise: Exercise, naming: Naming, answered: bool) -> list[str]:
    return [_staff(exercise, staff, naming, answered) for staff in exercise.staves]


class _Names(dict[Pitch, str]):
    """The notes as they are read aloud, each made once."""

    def __init__(self, naming: Naming):
        super().__init__()
        self._naming = naming

    def __missing__(self, p: Pitch) -> str:
        name = self[p] = self._naming.spoken(p)
        return name


_names = lru_cache(maxsize=32)(_Names)


def _staff(exercise: Exercise, staff: Staff, naming: Naming, answered: bool) -> str:
    """A staff: hand, clef and signature, then its columns from left to right."""
    placed = not answered and _names_are_asked(exercise)
    first = staff.events[0]
    begin = f"{first.clef.capitalize()} clef"
    if len(exercise.staves) > 1:
        begin = f"{staff.hand.capitalize()} hand, {first.clef} clef"
    if exercise.signed and not first.signature and staff.lines > 1:
        begin += f", {_signature(exercise.key)}"
    told = _columns(exercise, staff, naming, placed, answered)
    chords = any(len(event.pitches) > 1 for event in staff.events)
    body = ("; " if chords or placed else ", ").join(
        text if count == 1 else f"{text} ({count} times)"
        for text, count in ((text, len(list(some))) for text, some in groupby(told))
    )
    return f"{begin}: {body}" if body else begin


def _columns(
    exercise: Exercise, staff: Staff, naming: Naming, placed: bool, answered: bool
) -> Iterator[str]:
    """What stands in each column, and what changes between two."""
    clef, line, broken, names = staff.events[0].clef, 0, False, _names(naming)
    rhythm = has_rhythm(staff)
    for event in staff.events:
        if broken:
            yield "next line"
        if event.clef != clef:
            clef = event.clef
            yield f"{clef} clef"
        if event.ottava != line:
            line = event.ottava
            yield f"sounding {_OCTAVE_LINES[line]}" if line else "as written"
        if event.signature:
            hidden = event.signature_written and not answered
            yield "a key signature to write" if hidden else _signature(event.signature)
        yield from time_in_words(event)
        sound = sound_in_words(event, exercise, naming, answered) if rhythm else ""
        if event.pitches and staff.lines > 1:
            notes = _event(event, exercise, names, placed, answered) + _looks(event)
            yield " ".join(filter(None, [notes, sound]))
        elif sound:
            yield sound
        if event.after in _REPEATS:
            yield _REPEATS[event.after]
        if rhythm:
            yield from bar_in_words(event, answered)
        broken = event.after == "break"


def _looks(event: Event) -> str:
    """What the sign at a note looks like, as its name or meaning may be asked."""
    sign = NAMED.get(event.sign)
    return f" with {sign.looks}" if sign and sign.span != "bars" else ""


def _event(event: Event, exercise: Exercise, names: _Names, placed: bool, answered: bool) -> str:
    """The notes of a column, low to high, and what is to be written there."""
    shown, hidden = event.pitches, 0
    if not placed and (answered or not event.written):
        return " ".join([names[p] for p in shown])
    if not answered and event.written:
        shown = tuple(p for p in shown if p not in event.written)
        hidden = len(event.written)
    if placed:
        found = " and ".join(_place(p, event, exercise) for p in shown)
    else:
        found = " ".join([names[p] for p in shown])
    write = ("a note to write" if hidden == 1 else f"{hidden} notes to write") * bool(hidden)
    return " and ".join(filter(None, (found, write)))


def _place(p: Pitch, event: Event, exercise: Exercise) -> str:
    """Where a note stands on its staff: ``"third space"``, ``"second line, with a sharp"``."""
    step = staff_degree(p) - 7 * event.ottava - _BOTTOM[event.clef]
    if 0 <= step <= 8:
        where = f"{_ORDINALS[step // 2]} {'space' if step % 2 else 'line'}"
    else:
        side, far = ("below", -step) if step < 0 else ("above", step - 8)
        ledger = f"the {_ORDINALS[far // 2 - 1]} ledger line" if far > 1 else "the staff"
        where = f"just {side} {ledger}" if far % 2 else f"on {ledger} {side} the staff"
    sign = _sign(p, exercise)
    return f"{where}, {sign}" if sign else where


def _sign(p: Pitch, exercise: Exercise) -> str:
    """The sign before a note, if the key signature does not give it."""
    key = exercise.key
    given = 0
    if exercise.signed and letter(p) in {name[0] for name in signature(key)}:
        given = 1 if key.fifths > 0 else -1
    return f"with a {_SIGNS[alteration(p)]}" if alteration(p) != given else ""


def _figure(exercise: Exercise, figure: Figure, naming: Naming, answered: bool) -> Iterator[str]:
    if isinstance(figure, Keyboard):
        yield from _keyboard(exercise, figure, naming, answered)
    elif isinstance(figure, Circle):
        yield (
            "Circle of fifths with 12 places, number 1 at the top, clockwise; "
            f"{figure.outer} keys outside, {figure.inner} keys inside"
        )
    elif isinstance(figure, Grid):
        yield from _grid(exercise, figure, answered)
    else:
        yield "A row of boxes"


def _keyboard(
    exercise: Exercise, figure: Keyboard, naming: Naming, answered: bool
) -> Iterator[str]:
    yield f"Keyboard from {naming.spoken(figure.low)} to {naming.spoken(figure.high)}"
    placed = not answered and _names_are_asked(exercise)

    def told(keys: Iterable[Pitch]) -> str:
        return ", ".join(_key(p, figure) if placed else naming.spoken(p) for p in keys)

    if figure.marked:
        yield f"Dots on {told(figure.marked)}"
    if figure.shown:
        yield f"Shaded: {told(figure.shown)}"
    if figure.shaded:
        yield f"Shaded: {told(figure.shaded)}" if answered else "The keys are to be shaded"


def _key(p: Pitch, figure: Keyboard) -> str:
    """A key by its number from the left among those of its colour: ``"white key 3"``."""
    low, here = semitone(figure.low), semitone(p)
    blacks = [n for n in range(low, here + 1) if n % 12 in (1, 3, 6, 8, 10)]
    black = is_black(p)
    return f"black key {len(blacks)}" if black else f"white key {here - low + 1 - len(blacks)}"


def _grid(exercise: Exercise, figure: Grid, answered: bool) -> Iterator[str]:
    """The rows of a grid; each has an entry, or a box, of every kind."""
    for row in range(figure.rows):
        cells = [
            _said(blank, answered) if blank.given or answered else "a box to fill"
            for kind in figure.kinds
            for blank in exercise.blanks
            if blank.column == row and blank.asks == kind
        ]
        yield f"Row {row + 1}: {', '.join(cells)}"


def _rows(exercise: Exercise, answered: bool) -> Iterator[str]:
    """A sentence for each row of boxes."""
    if isinstance(exercise.figure, Grid):
        return
    rows: dict[tuple[str, str], list[Blank]] = {}
    for blank in exercise.blanks:
        if blank.asks not in DRAWN:
            rows.setdefault((blank.asks, blank.hand), []).append(blank)
    hands = len({hand for _, hand in rows}) > 1
    for (asks, hand), blanks in rows.items():
        what = f"{hand} hand, " * hands + _called(KINDS[asks])
        asked = [blank for blank in blanks if not blank.given]
        if answered or not asked:
            said = " ".join(_said(blank, answered) for blank in blanks)
            yield f"{what[:1].upper()}{what[1:]}: {said}"
            continue
        given = [
            f"box {number} says {_said(blank, answered)}"
            for number, blank in enumerate(blanks, 1)
            if blank.given
        ]
        some = f"{len(blanks)} box{'es' * (len(blanks) != 1)}"
        fill = f"{some}, {len(asked)} to fill" if given else f"{some} to fill"
        yield "; ".join([f"{fill}: {what}", *given])


def _called(kind: AnswerKind) -> str:
    """What the boxes of a row are for."""
    return kind.task.partition(" (")[0] or kind.title[:1].lower() + kind.title[1:]


def _said(blank: Blank, answered: bool) -> str:
    """The answer as it is read aloud; one printed as help in parentheses on the answer key."""
    said = words.in_words(blank.answer)
    return f"({said})" if blank.given and answered else said
