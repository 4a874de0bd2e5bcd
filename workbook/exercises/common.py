"""What the families share: staves in a fitting register, rows of finger blanks, words."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from random import Random

from workbook.exercises.model import SIDES, Blank, Event, Request, Staff
from workbook.fingering.conventions import Finger
from workbook.music.naming import Naming
from workbook.music.pitch import Pitch, pitch, staff_degree
from workbook.music.register import CLEFS, ledger_lines, octaves

Columns = list[tuple[Pitch, ...]]

_WHERE = {"hand": {"right": "right hand", "left": "left hand", "both": "hands together"},
          "clef": {"right": "treble clef", "left": "bass clef", "both": "treble and bass"},
          "": {"right": "", "left": "", "both": ""}}
_MIDDLE_C = staff_degree(pitch("C4"))


def place(request: Request, music: Callable[[int], Columns], rng: Random
          ) -> dict[str, Columns]:
    """The music of each side in a register that keeps within the ledger lines.

    With both hands, the left one stays at least an octave below the right.
    """
    def flat(at: int) -> Iterable[Pitch]:
        return (p for column in music(at) for p in column)

    found: dict[str, Columns] = {}
    top = None
    for side in SIDES[request.hand]:
        fits = octaves(side, flat, request.ledger_lines)
        if max(ledger_lines(p, side) for p in flat(fits[0])) > request.ledger_lines:
            # too wide for one clef: towards middle C, where the other clef takes over
            fits = fits[:1] if side == "right" else fits[-1:]
        if top is not None:
            fits = [at for at in fits if at < top] or fits[:1]
        top = rng.choice(list(fits))
        found[side] = music(top)
    return found


def place_each(request: Request, musics: Iterable[Callable[[int], Columns]], rng: Random
               ) -> dict[str, Columns]:
    """Pieces of music one after the other, each placed by itself."""
    found: dict[str, Columns] = {side: [] for side in SIDES[request.hand]}
    for music in musics:
        for side, columns in place(request, music, rng).items():
            found[side] += columns
    return found


def staves(sides: dict[str, Columns], value: str, bars: dict[int, str],
           most: int = 2) -> tuple[Staff, ...]:
    """A staff for each side; ``bars`` says what follows a column.

    Where a run is too wide for ``most`` ledger lines, notes beyond middle C
    change into the other hand's clef, as piano music does.
    """
    built = []
    for side, columns in sides.items():
        wide = any(ledger_lines(p, side) > max(most, 2) for c in columns for p in c)
        events = []
        for index, column in enumerate(columns):
            clef = CLEFS[side]
            if wide:
                clef = "bass" if staff_degree(column[0]) < _MIDDLE_C else "treble"
            events.append(Event(column, clef, value, bars.get(index, "")))
        built.append(Staff(side, tuple(events)))
    return tuple(built)


def finger_blanks(side: str, columns: Columns,
                  fingers: Iterable[tuple[Finger, ...]]) -> tuple[Blank, ...]:
    """A blank for the finger on each note of each column, low to high."""
    return tuple(Blank("finger", side, column, note if len(notes) > 1 else None,
                       (notes[note],), finger.finger, finger.also)
                 for column, (notes, chord) in enumerate(zip(columns, fingers))
                 for note, finger in enumerate(chord))


def chord_blanks(asks: str, sides: dict[str, Columns],
                 answers: Iterable[tuple[str, tuple[str, ...]]]) -> tuple[Blank, ...]:
    """One blank a column about the whole chord, asked once for both hands."""
    side = next(iter(sides))
    return tuple(Blank(asks, side, column, None, notes, answer, also)
                 for column, (notes, (answer, also)) in enumerate(zip(sides[side], answers)))


def in_order(blanks: Iterable[Blank], ask: tuple[str, ...]) -> tuple[Blank, ...]:
    """The asked blanks, row by row in the order of reading: the order of ``ask``."""
    return tuple(sorted((b for b in blanks if b.asks in ask),
                        key=lambda b: (ask.index(b.asks), b.hand == "left", b.column,
                                       b.note or 0)))


def written(sides: dict[str, Columns], bars: dict[int, str], given: Iterable[int] = (),
            part: slice = slice(None)) -> tuple[Staff, ...]:
    """Staves of whole notes that the student writes, all but the ``given`` columns.

    ``part`` tells which notes of each column, low to high, are written; the others
    are printed.
    """
    shown = set(given)
    return tuple(
        Staff(side, tuple(Event(column, CLEFS[side], "1", bars.get(index, ""),
                                () if index in shown else column[part])
                          for index, column in enumerate(columns)))
        for side, columns in sides.items())


def note_blanks(built: Iterable[Staff], naming: Naming) -> tuple[Blank, ...]:
    """A blank for every column in which the student writes notes."""
    return tuple(Blank("notes", staff.hand, column, None, event.written,
                       " ".join(naming.note(p) for p in event.written))
                 for staff in built for column, event in enumerate(staff.events)
                 if event.written)


def texts(asks: str, side: str, answers: Iterable[str], of: Iterable[tuple[Pitch, ...]],
          also: Iterable[tuple[str, ...]] | None = None, given: bool = False
          ) -> tuple[Blank, ...]:
    """A blank a column with the answers' text; with ``given``, a printed label each."""
    answers = list(answers)
    return tuple(Blank(asks, side, column, None, notes, answer, others, given)
                 for column, (answer, notes, others) in enumerate(
                     zip(answers, of, also or [()] * len(answers))))


def label(request: Request, *details: str, by: str = "hand") -> str:
    """``"E♭ minor, harmonic, left hand"``: names the music of one exercise."""
    return heading(request, request.naming.key(request.key), *details, by=by)


def heading(request: Request, *details: str, by: str = "hand") -> str:
    """A label that does not tell the key: ``"harmonic, treble clef"``."""
    words = ", ".join(filter(None, [*details, _WHERE[by][request.hand]]))
    return words[:1].upper() + words[1:]


def task(ask: tuple[str, ...], stacked: bool = False) -> str:
    """What to do, in the fewest words that say it.

    ``stacked`` tells that a chord's finger boxes stand one above the other.
    """
    things = {"chord": "chord names", "numeral": "Roman numerals (small for minor chords)",
              "position": "positions (root, 1st, 2nd)", "interval": "interval numbers",
              "quality": "interval names (such as M3, P5, m6)", "finger": "finger numbers"}
    words = [words for asks, words in things.items() if asks in ask]
    where = " Bottom box, lowest note." if stacked and "finger" in ask else ""
    return f"Write the {listed(words)} in the boxes.{where}"


def listed(words: list[str]) -> str:
    """``"a, b and c"``."""
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]
