r"""An exercise as LilyPond source, its notes written by abjad.

In: an ``Exercise``. Out: the text of one ``\score`` block. Nothing in it comes from the
teacher's files, only pitches, clefs, keys and the names of slots. A box is an empty markup
of fixed size: LilyPond keeps the space and the page draws the box, so that workbook and
answer key share one picture. What the student writes on the staff is engraved in the colour
PEN, by which ``ink`` separates it from what is printed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache, lru_cache

from workbook.engraving.abjad_home import abjad
from workbook.engraving.ink import PEN
from workbook.engraving.line_breaks import may_break
from workbook.engraving.rows import ALIGN, NOTE_REACH, NOTE_ROOM, SIGNATURE_ROOM, BoxRow, box_rows
from workbook.exercises.model import Event, Exercise, Slot, Staff
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, scientific

BOX_ROW = (
    rf"""
penColor = #(rgb-color {" ".join(map(str, PEN))})
#(define (pen-head grob)
  (let* ((head (ly:note-head::print grob))
         (position (ly:grob-property grob 'staff-position))
         (x (ly:stencil-extent head X))
         (beyond (* 0.25 (- (cdr x) (car x))))
         (away (if (< position 0) -1 1)))
    (let add ((line 6) (drawn head))
      (if (> line (abs position))
        ;; of the head's own size, or a chord's heads were moved to make room for the lines
        (ly:make-stencil (ly:stencil-expr drawn) x (ly:stencil-extent head Y))
        (add (+ line 2)
          (ly:stencil-add drawn
            (make-filled-box-stencil (cons (- (car x) beyond) (+ (cdr x) beyond))
              (let ((y (* 0.5 (- (* away line) position)))) (cons (- y 0.1) (+ y 0.1))))))))))
"""
    r"""
boxRow = \with {
    \consists "Text_engraver" \consists "Axis_group_engraver"
    \override TextScript.outside-staff-priority = ##f
    \override TextScript.staff-padding = ##f
    \override TextScript.self-alignment-X = #CENTER
    \override TextScript.parent-alignment-X = #CENTER
    \override TextScript.X-align-on-main-noteheads = ##t
    \override TextScript.Y-offset = #0
    \override TextScript.extra-spacing-width = #'(-0.35 . 0.35)
    \override TextScript.extra-spacing-height = #'(-inf.0 . +inf.0)
    \override VerticalAxisGroup.nonstaff-relatedstaff-spacing =
      #'((basic-distance . 0) (minimum-distance . 0) (padding . 1.3) (stretchability . 0))
    \override VerticalAxisGroup.nonstaff-nonstaff-spacing =
      #'((basic-distance . 0) (minimum-distance . 0) (padding . 1.2) (stretchability . 0))
    \override VerticalAxisGroup.nonstaff-unrelatedstaff-spacing.padding = #1
}
"""
)
"""Settings that both kinds of row share; goes before the layout block."""

LAYOUT = r"""
  \override Score.AccidentalPlacement.right-padding = #0.3
  \override Score.SpacingSpanner.base-shortest-duration = #(ly:make-moment 1/4)
  \context { \name "BoxRowAbove" \type "Engraver_group" \boxRow
    \override VerticalAxisGroup.staff-affinity = #DOWN }
  \context { \name "BoxRowBelow" \type "Engraver_group" \boxRow
    \override VerticalAxisGroup.staff-affinity = #UP }
  \context { \Staff \remove "Time_signature_engraver" printKeyCancellation = ##f
    explicitKeySignatureVisibility = #end-of-line-invisible
    ottavationMarkups = #ottavation-ordinals
    \override KeyCancellation.break-visibility = #all-invisible
    \override TextScript.outside-staff-priority = ##f
    \override TextScript.staff-padding = ##f
    \override TextScript.self-alignment-X = #CENTER
    \override TextScript.parent-alignment-X = #CENTER
    \override TextScript.X-align-on-main-noteheads = ##t
    \override TextScript.extra-spacing-width = #'(-0.1 . 0.1)
    \override TextScript.extra-spacing-height = #'(-inf.0 . +inf.0) }
  \context { \Score \accepts "BoxRowAbove" \accepts "BoxRowBelow" \remove "Bar_number_engraver"
    \accidentalStyle Score.modern }
"""
"""Settings that all scores of a run share; goes into one top-level layout block."""


@cache
def _pitch(p: Pitch) -> abjad.NamedPitch:
    return abjad.NamedPitch(scientific(p))


@lru_cache(maxsize=4000)
def _note(value: str, pitches: tuple[Pitch, ...], written: tuple[Pitch, ...], room: str) -> str:
    """The source of a note, chord or skip; ``room`` is the markup of the space it keeps, or ""."""
    leaf = _leaf(value, pitches)
    if written:
        for pitch, head in zip(pitches, _heads(leaf)):
            if pitch in written:
                for tweak in _PEN_TWEAKS:
                    abjad.tweak(head, tweak)
    if room:
        abjad.attach(abjad.Markup(room), leaf, direction=abjad.UP)
    text: str = abjad.lilypond(leaf)
    return text


_PEN_TWEAKS = (
    r"\tweak color #penColor",
    r"\tweak stencil #pen-head",
    r"\tweak no-ledgers ##t",
    r"\tweak Accidental.color #penColor",
)


# abjad 3.19 and later versions make leaves, and give their note heads, in different ways


def _leaf(value: str, pitches: tuple[Pitch, ...]) -> abjad.Leaf:
    named = [_pitch(p) for p in pitches]
    duration = abjad.Duration(1, int(value))
    if not named:
        return _skip(value)
    made: abjad.Leaf
    if len(named) > 1:
        make = getattr(abjad.Chord, "from_duration_and_pitches", None)
        made = make(duration, named) if make else abjad.Chord(named, duration)
    else:
        make = getattr(abjad.Note, "from_duration_and_pitch", None)
        made = make(duration, named[0]) if make else abjad.Note(named[0], duration)
    return made


def _skip(value: str) -> abjad.Leaf:
    duration = abjad.Duration(1, int(value))
    make = getattr(abjad.Skip, "from_duration", None)
    made: abjad.Leaf = make(duration) if make else abjad.Skip(duration)
    return made


def _heads(leaf: abjad.Leaf) -> list[abjad.NoteHead]:
    """A leaf's note heads, low to high."""
    one = isinstance(leaf, abjad.Note)
    heads = getattr(leaf, "note_head" if one else "note_heads")
    heads = heads() if callable(heads) else heads
    return [heads] if one else list(heads)


def _measures(staff: Staff) -> list[int]:
    """How many columns each measure has."""
    counts: list[int] = []
    run = 0
    for event in staff.events:
        run += 1
        if event.after:
            counts.append(run)
            run = 0
    return counts + ([run] if run else [])


def _key_signature(key: Key) -> str:
    tonic = key.tonic.lower().replace("#", "s")
    return rf"\key {tonic[0]}{tonic[1:].replace('b', 'f')} \{key.mode}"


def _room(kind: str, hand: str, column: int, width: float) -> str:
    """The space on the staff in which the student writes."""
    return rf'\markup \slot #"{Slot(kind, hand, column)}" #{width:.2f} #{2 * NOTE_REACH}'


def _staff(
    staff: Staff, exercise: Exercise, line_ends: Sequence[int], opening: Sequence[str]
) -> str:
    """The source of a staff that begins with ``opening``."""
    lines = [rf'\context Staff = "{staff.hand}"', "{", *opening]
    before, times, wide = _NOTHING, _times(staff), _writes(exercise)
    for column, event in enumerate(staff.events):
        room = _note_room(staff.hand, column, event, wide)
        signature = event.signature
        if not column and exercise.signed:
            signature = signature or exercise.key
        lines += _changes(before, event)
        if signature:
            lines.append(_key_signature(signature))
        if column in times:
            lines.append(times[column])
        if room:
            lines.append(rf"\once \override TextScript.Y-offset = #{-NOTE_REACH}")
        lines.append(_note(event.value, event.pitches, event.written, room))
        if event.after in ("|.", "||"):
            lines.append(rf'\bar "{event.after}"')
        if event.after == "break" or column in line_ends:
            lines.append(r"\break")
        before = event
    return "\n".join([*lines, "}"])


_NOTHING = Event((), "")
"""What is before the first column."""


def _note_room(hand: str, column: int, event: Event, wide: bool) -> str:
    """The markup of the space that a signature or, if ``wide``, a note has to be written in;
    "" for none.
    """
    if event.signature and event.signature_written:
        rest = SIGNATURE_ROOM - abs(event.signature.fifths)
        return _room("signature", hand, column, rest)
    # printed notes are then as far apart as written ones
    return _room("notes", hand, column, NOTE_ROOM) if wide else ""


def _changes(before: Event, event: Event) -> Iterator[str]:
    """The clef and octave line of ``event``, where ``before`` had others; the colour of a
    signature that the student writes.
    """
    if event.clef != before.clef:
        yield rf'\clef "{event.clef}"'
    if event.ottava != before.ottava:
        yield rf"\ottava #{event.ottava}"
    if event.signature_written:
        yield r"\once \override Staff.KeySignature.color = #penColor"


def _times(staff: Staff) -> dict[int, str]:
    """The time signatures, which are not printed, by the column where they change."""
    found, start, before = {}, 0, 0
    for count in _measures(staff):
        if count != before:
            found[start] = rf"\time {count * (4 // int(staff.events[0].value))}/4"
        start, before = start + count, count
    return found


def _writes(exercise: Exercise) -> bool:
    return exercise.roomy or any(
        event.written for staff in exercise.staves for event in staff.events
    )


def _lines_apart(exercise: Exercise) -> bool:
    """Whether each line of music is a piece of its own, not bound to others by a signature.

    An empty column ends such a line; a run goes on.
    """
    return not exercise.signed and any(
        event.after == "break" and not event.pitches for event in exercise.staves[0].events
    )


_HEAD = 2.6
"""The width of a whole note's ledger line, in staff spaces."""


def _space(width: float, height: float) -> str:
    return rf"\markup \with-dimensions #'(0 . {width}) #'(0 . {height:.2f}) \null"


def _slot(row: BoxRow, column: int) -> tuple[str, ...]:
    slot = (
        rf'\markup \slot #"{row.slot(column)}" '
        f"#{row.box[0]} #{row.height(column):.2f}"
    )
    if row.asks not in ALIGN:
        return (slot,)
    return (
        slot,
        rf"- \tweak self-alignment-X #{ALIGN[row.asks]}",
        r"- \tweak extra-spacing-height #'(+inf.0 . -inf.0)",
    )


@lru_cache(maxsize=2000)
def _cell(value: str, *rooms: tuple[str, ...]) -> str:
    """The source of a skip that keeps the spaces ``rooms``: for each a markup and its tweaks."""
    skip = _skip(value)
    for markup, *tweaks in rooms:
        room = abjad.Markup(markup)
        abjad.attach(abjad.bundle(room, *tweaks) if tweaks else room, skip, direction=abjad.UP)
    text: str = abjad.lilypond(skip)
    return text


def _row(row: BoxRow, exercise: Exercise) -> str:
    """The source of a row's context, which many exercises share."""
    events = exercise.staves[0].events
    return _row_text(
        (row.asks, row.hand, row.above, row.long, row.printed),
        tuple(row.stacks.items()),
        tuple((event.value, bool(event.pitches)) for event in events),
    )


@lru_cache(maxsize=2000)
def _row_text(
    kind: tuple[str, str, bool, bool, bool],
    stacks: tuple[tuple[int, int], ...],
    columns: tuple[tuple[str, bool], ...],
) -> str:
    asks, hand, above, *rest = kind
    row = BoxRow(asks, hand, above, dict(stacks), *rest)
    between = any(not columns[column][1] for column in row.stacks)
    cells = []
    for column, (value, sounds) in enumerate(columns):
        rooms: list[tuple[str, ...]] = []
        if between and sounds:
            # boxes between the notes stay clear of the ledger lines, too
            rooms.append((_space(_HEAD, row.box[1]),))
        elif row.asks in ALIGN:
            # boxes that reach back to the note before: each note keeps half the space
            rooms.append((_space(row.box[0] / 2, row.box[1]),))
        elif column not in row.stacks and 2 * len(row.stacks) > len(columns):
            # a note that is not asked about is as far from the next as those that are
            rooms.append((_space(*row.box),))
        if column in row.stacks:
            rooms.append(_slot(row, column))
        cells.append(_cell(value, *rooms))
    context = "BoxRowAbove" if row.above else "BoxRowBelow"
    name = row.name.replace(".", "-")
    return f'\\context {context} = "{name}"\n{{\n' + "\n".join(cells) + "\n}"


def score_source(exercise: Exercise, breaks: bool = False, line_ends: Sequence[int] = ()) -> str:
    r"""The ``\score`` block that draws the exercise's music and keeps space for its boxes.

    With ``breaks`` a line may end within a long measure, and not only at bar lines; it ends
    after each of the columns in ``line_ends``.
    """
    opening = []
    if breaks and may_break(exercise):
        opening.append(r"\set Score.forbidBreakBetweenBarLines = ##f")
    if _writes(exercise) or _lines_apart(exercise):
        # each note shows its own accidental, whatever was written or printed before it
        opening.append(r"\accidentalStyle Score.forget")
    staves = [
        _staff(staff, exercise, line_ends, () if number else opening)
        for number, staff in enumerate(exercise.staves)
    ]
    if len(staves) > 1:
        staves = [r"\new PianoStaff", "<<", *staves, ">>"]
    above, below = (
        [_row(row, exercise) for row in box_rows(exercise) if row.above == side]
        for side in (True, False)
    )
    return "\n".join([r"\score {", r"\new Score", "<<", *above, *staves, *below, ">>", "}"])
