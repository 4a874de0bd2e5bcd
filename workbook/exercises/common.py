"""What the families share: staves in a fitting register, rows of finger blanks, words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from random import Random

from workbook.exercises.model import SIDES, Blank, Event, Request, Staff
from workbook.fingering import search
from workbook.fingering.conventions import Finger, Fingers
from workbook.fingering.reasons import chief, reasons
from workbook.music import scales
from workbook.music.keys import Key, signature
from workbook.music.naming import Naming
from workbook.music.pitch import Pitch, pitch, staff_degree
from workbook.music.register import CLEFS, ledger_lines, most_lines, octaves

Columns = list[tuple[Pitch, ...]]

_WHERE = {
    "hand": {"right": "right hand", "left": "left hand", "both": "hands together"},
    "clef": {"right": "treble clef", "left": "bass clef", "both": "treble and bass"},
    "": {"right": "", "left": "", "both": ""},
}
_MIDDLE_C = staff_degree(pitch("C4"))
_HIGH, _LOW = staff_degree(pitch("C6")), staff_degree(pitch("E2"))
"""From here on, an octave line is drawn where a run goes on too far for ledger lines."""
_WHYS = 3
"""The most reasons that one exercise gives on the answer key."""
NUMERALS = "Roman numerals (lower case for minor and diminished)"


def place(request: Request, music: Callable[[int], Columns], rng: Random) -> dict[str, Columns]:
    """The music of each side in a register that keeps within the ledger lines.

    Both hands stand an octave apart, as they play it; further only where their staves
    leave no other way.
    """

    def flat(at: int) -> Iterable[Pitch]:
        return (p for column in music(at) for p in column)

    fits: dict[str, Sequence[int]] = {}
    for side in SIDES[request.hand]:
        fits[side] = octaves(side, flat, request.ledger_lines)
        if most_lines(flat(fits[side][0]), side) > request.ledger_lines:
            # too wide for its clef: beside the other hand, or where two clefs hold it best
            fits[side] = (
                [at - 1 for at in fits["right"]] if len(fits) > 1 else [_across(side, flat)]
            )
    if len(fits) == 1:
        return {side: music(rng.choice(list(own))) for side, own in fits.items()}
    pairs = [(right, left) for right in fits["right"] for left in fits["left"] if left < right]
    near = min((right - left for right, left in pairs), default=0)
    right, left = rng.choice(
        [pair for pair in pairs if pair[0] - pair[1] == near]
        or [(fits["right"][0], fits["left"][0])]
    )
    return {"right": music(right), "left": music(left)}


def _across(side: str, flat: Callable[[int], Iterable[Pitch]]) -> int:
    """The octave for music too wide for one clef: where the two clefs together need the
    fewest ledger lines beyond two, rather outside than inside its own hand's half.
    """

    def beyond(at: int) -> int:
        notes = sorted(flat(at), key=staff_degree)
        low, high = (
            max(ledger_lines(p, clef) - 2, 0)
            for p, clef in ((notes[0], "left"), (notes[-1], "right"))
        )
        return 2 * low + high if side == "right" else low + 2 * high

    order = range(6, -1, -1) if side == "right" else range(7)
    return min(order, key=beyond)


def place_each(
    request: Request, musics: Iterable[Callable[[int], Columns]], rng: Random
) -> dict[str, Columns]:
    """Pieces of music one after the other, each placed by itself."""
    found: dict[str, Columns] = {side: [] for side in SIDES[request.hand]}
    for music in musics:
        for side, columns in place(request, music, rng).items():
            found[side] += columns
    return found


def staves(
    sides: dict[str, Columns], value: str, bars: dict[int, str], most: int = 2
) -> tuple[Staff, ...]:
    """A staff for each side; ``bars`` says what follows a column.

    Where a run is too wide for ``most`` ledger lines, notes beyond middle C
    change into the other hand's clef, as piano music does, and what is still too
    high or too low stands under an octave line.
    """
    built = []
    for side, columns in sides.items():
        wide = any(ledger_lines(p, side) > max(most, 2) for c in columns for p in c)
        clefs = [CLEFS[side]] * len(columns)
        if wide:
            clefs = _steady(
                columns,
                ["bass" if staff_degree(column[0]) < _MIDDLE_C else "treble" for column in columns],
            )
        lines = _octave_lines(columns, clefs)
        built.append(
            Staff(
                side,
                tuple(
                    Event(column, clef, value, bars.get(index, ""), ottava=line)
                    for index, (column, clef, line) in enumerate(zip(columns, clefs, lines))
                ),
            )
        )
    return tuple(built)


def _steady(columns: Columns, clefs: list[str]) -> list[str]:
    """``clefs`` without a change for a few notes that two ledger lines can hold."""
    starts = [index for index, clef in enumerate(clefs) if not index or clef != clefs[index - 1]]
    steady = list(clefs)
    for start, end in zip(starts, [*starts[1:], len(clefs)]):
        other = "bass" if clefs[start] == "treble" else "treble"
        if end - start < min(_FEW + 1, len(clefs)) and all(
            ledger_lines(p, _SIDE[other]) <= 2 for column in columns[start:end] for p in column
        ):
            steady[start:end] = [other] * (end - start)
    return steady


_FEW = 4
"""Notes for which a clef is kept."""
_SIDE = {"treble": "right", "bass": "left"}


def _octave_lines(columns: Columns, clefs: list[str]) -> list[int]:
    """1 for the columns under an 8va line, -1 over an 8vb line, else 0."""

    def beyond(column: tuple[Pitch, ...], clef: str) -> bool:
        return any(ledger_lines(p, _SIDE[clef]) > 2 for p in column)

    need = {clef for column, clef in zip(columns, clefs) if beyond(column, clef)}
    lines = []
    for column, clef in zip(columns, clefs):
        line = 0
        if "treble" in need and clef == "treble" and staff_degree(column[0]) >= _HIGH:
            line = 1
        elif "bass" in need and clef == "bass" and staff_degree(column[-1]) <= _LOW:
            line = -1
        lines.append(line)
    return lines


def finger_blanks(
    side: str, columns: Columns, fingers: Iterable[tuple[Finger, ...]]
) -> tuple[Blank, ...]:
    """A blank for the finger on each note of each column, low to high."""
    return tuple(
        Blank(
            "finger",
            side,
            column,
            note if len(notes) > 1 else None,
            (notes[note],),
            finger.finger,
            finger.also,
            versions=finger.versions,
        )
        for column, (notes, chord) in enumerate(zip(columns, fingers))
        for note, finger in enumerate(chord)
    )


def run_blanks(
    request: Request, sides: dict[str, Columns], fingers: Callable[[str], Fingers]
) -> tuple[Blank, ...]:
    """Finger blanks of a run of single notes, ``fingers`` by side, with a few reasons."""
    blanks: list[Blank] = []
    for side, columns in sides.items():
        answers = fingers(side)
        row = list(finger_blanks(side, columns, ((f,) for f in answers)))
        found = reasons(
            [p for (p,) in columns], [f.finger for f in answers], side, request.naming.note
        )
        most = _WHYS // len(sides) + (side == "right" and len(sides) > 1)
        for index, words in chief(found, most):
            row[index] = replace(row[index], why=words)
        blanks += row
    return tuple(blanks)


def chord_fingers(
    request: Request, side: str, columns: Columns, shapes: Sequence[str | None]
) -> list[Fingers]:
    """Fingers of chords in a row: by convention, by search where ``shapes`` has None.

    What the search finds nearly as easy as its first choice is accepted too.
    """
    if None not in shapes:
        return [request.fingering.chord(shape, side) for shape in shapes]
    first, *others = search.best_chords(columns, side)
    close = [choice for choice in others if choice.points <= first.points + _CLOSE]
    return [
        request.fingering.chord(shape, side)
        if shape
        else tuple(
            Finger((digit, *(choice.fingers[index][note] for choice in close)))
            for note, digit in enumerate(first.fingers[index])
        )
        for index, shape in enumerate(shapes)
    ]


_CLOSE = 1.0
"""Points of difficulty by which another fingering may be harder and still be accepted."""


def chord_blanks(
    asks: str, sides: dict[str, Columns], answers: Iterable[tuple[str, tuple[str, ...]]]
) -> tuple[Blank, ...]:
    """One blank a column about the whole chord, asked once for both hands."""
    side = next(iter(sides))
    return tuple(
        Blank(asks, side, column, None, notes, answer, also)
        for column, (notes, (answer, also)) in enumerate(zip(sides[side], answers))
    )


def in_order(blanks: Iterable[Blank], ask: tuple[str, ...]) -> tuple[Blank, ...]:
    """The asked blanks, row by row in the order of reading: the order of ``ask``."""
    return tuple(
        sorted(
            (b for b in blanks if b.asks in ask),
            key=lambda b: (ask.index(b.asks), b.hand == "left", b.column, b.note or 0),
        )
    )


def written(
    sides: dict[str, Columns],
    bars: dict[int, str],
    given: Iterable[int] = (),
    part: slice = slice(None),
) -> tuple[Staff, ...]:
    """Staves of whole notes that the student writes, all but the ``given`` columns.

    ``part`` tells which notes of each column, low to high, are written; the others
    are printed.
    """
    shown = set(given)
    return tuple(
        Staff(
            side,
            tuple(
                Event(
                    column,
                    CLEFS[side],
                    "1",
                    bars.get(index, ""),
                    () if index in shown else column[part],
                )
                for index, column in enumerate(columns)
            ),
        )
        for side, columns in sides.items()
    )


def note_blanks(built: Iterable[Staff], naming: Naming) -> tuple[Blank, ...]:
    """A blank for every column in which the student writes notes."""
    return tuple(
        Blank(
            "notes",
            staff.hand,
            column,
            None,
            event.written,
            " ".join(naming.note(p) for p in event.written),
        )
        for staff in built
        for column, event in enumerate(staff.events)
        if event.written
    )


def texts(
    asks: str,
    side: str,
    answers: Iterable[str],
    of: Iterable[tuple[Pitch, ...]],
    also: Iterable[tuple[str, ...]] | None = None,
    given: bool = False,
) -> tuple[Blank, ...]:
    """A blank a column with the answers' text; with ``given``, a printed label each."""
    answers = list(answers)
    return tuple(
        Blank(asks, side, column, None, notes, answer, others, given)
        for column, (answer, notes, others) in enumerate(
            zip(answers, of, also or [()] * len(answers))
        )
    )


def form(request: Request) -> str:
    """The form of scale asked for, or the first that the key has; minor unasked is harmonic."""
    usable = scales.forms(request.key)
    asked = request.settings.get("forms", "harmonic")
    return asked if asked in usable else usable[0]


def start_words(degree: int) -> str:
    """``"from the 3rd degree"``, nothing for a scale that begins on its tonic."""
    if degree == 1:
        return ""
    return f"from the {({2: '2nd', 3: '3rd'}).get(degree, f'{degree}th')} degree"


def signs(key: Key, naming: Naming) -> str:
    """A key signature in words: ``"B♭ E♭"``, ``"none"``."""
    sign = "#" if key.fifths > 0 else "b"
    return " ".join(naming.note(pitch(f"{name}{sign}4")) for name in signature(key)) or "none"


def label(request: Request, *details: str, by: str = "hand", form: str = "") -> str:
    """``"E♭ harmonic minor, left hand"``: names the music of one exercise."""
    return heading(request, request.naming.key(request.key, form), *details, by=by)


def heading(request: Request, *details: str, by: str = "hand") -> str:
    """A label that does not tell the key: ``"Intervals above, treble clef"``."""
    words = ", ".join(filter(None, [*details, _WHERE[by][request.hand]]))
    return words[:1].upper() + words[1:]


def task(ask: tuple[str, ...], stacked: bool = False, numerals: str = NUMERALS) -> str:
    """What to do, in the fewest words that say it.

    ``stacked`` tells that a chord's finger boxes stand one above the other;
    ``numerals`` says what numerals are wanted.
    """
    things = {
        "chord": "chord names",
        "numeral": numerals,
        "position": "positions (root, 1st, 2nd)",
        "interval": "interval numbers",
        "quality": "interval names (such as M3, P5, m6)",
        "finger": "finger numbers",
    }
    words = [words for asks, words in things.items() if asks in ask]
    where = " The bottom box is for the lowest note." if stacked and "finger" in ask else ""
    return f"Write the {listed(words)} in the boxes.{where}"


def listed(words: list[str]) -> str:
    """``"a, b and c"``."""
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]
