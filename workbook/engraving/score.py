"""An exercise as LilyPond source, built from abjad objects.

In: an ``Exercise``. Out: the text of one ``\\score`` block. Nothing in it comes
from the teacher's files: only pitches, clefs, keys and the names of slots.
A box is an empty markup of fixed size: LilyPond keeps the room, the page draws
the box, so that workbook and answer key share one picture. What the student
writes on the staff is engraved in the colour PEN, by which ``ink`` takes it out
of the workbook's picture.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import product

import abjad

from workbook.engraving.ink import PEN
from workbook.engraving.rows import ALIGN, NOTE_REACH, NOTE_ROOM, SIGNATURE_ROOM, Row, rows
from workbook.engraving.turns import may_break
from workbook.exercises.model import Event, Exercise, Staff
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, scientific

BOX_ROW = rf"""
penColor = #(rgb-color {" ".join(map(str, PEN))})
#(define (pen-head grob)
  (let* ((head (ly:note-head::print grob))
         (position (ly:grob-property grob 'staff-position))
         (x (ly:stencil-extent head X))
         (beyond (* 0.25 (- (cdr x) (car x))))
         (away (if (< position 0) -1 1)))
    (let add ((line 6) (drawn head))
      (if (> line (abs position)) drawn
        (add (+ line 2)
          (ly:stencil-add drawn
            (make-filled-box-stencil (cons (- (car x) beyond) (+ (cdr x) beyond))
              (let ((y (* 0.5 (- (* away line) position)))) (cons (- y 0.1) (+ y 0.1))))))))))
""" + r"""
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
"""The settings that both kinds of row share; goes before the layout block."""

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
"""Shared by all scores of a run; goes into one top-level layout block."""


@lru_cache(maxsize=None)
def _pitch(p: Pitch) -> abjad.NamedPitch:
    return abjad.NamedPitch(scientific(p))


def _leaf(event: Event):
    duration = abjad.Duration(1, int(event.value))
    pitches = [_pitch(p) for p in event.pitches]
    if not pitches:
        leaf = _skip(event.value)
    elif len(pitches) == 1:
        leaf = (abjad.Note.from_duration_and_pitch(duration, pitches[0])
                if hasattr(abjad.Note, "from_duration_and_pitch")
                else abjad.Note(pitches[0], duration))
    else:
        leaf = (abjad.Chord.from_duration_and_pitches(duration, pitches)
                if hasattr(abjad.Chord, "from_duration_and_pitches")
                else abjad.Chord(pitches, duration))
    if event.written:
        for pitch, head in zip(event.pitches, _heads(leaf)):
            if pitch in event.written:
                for tweak in _PEN_TWEAKS:
                    abjad.tweak(head, tweak)
    return leaf


_PEN_TWEAKS = (r"\tweak color #penColor", r"\tweak stencil #pen-head", r"\tweak no-ledgers ##t",
               r"\tweak Accidental.color #penColor")


def _heads(leaf) -> list:
    """A leaf's note heads, low to high: properties in older abjad, methods in newer."""
    one = isinstance(leaf, abjad.Note)
    heads = leaf.note_head if one else leaf.note_heads
    heads = heads() if callable(heads) else heads
    return [heads] if one else list(heads)


def _skip(value: str):
    duration = abjad.Duration(1, int(value))
    if hasattr(abjad.Skip, "from_duration"):
        return abjad.Skip.from_duration(duration)
    return abjad.Skip(duration)


def _measures(staff: Staff) -> list[int]:
    """How many columns each measure has."""
    counts, run = [], 0
    for event in staff.events:
        run += 1
        if event.after:
            counts.append(run)
            run = 0
    return counts + ([run] if run else [])


def _key_signature(key: Key) -> abjad.KeySignature:
    tonic = key.tonic.lower().replace("#", "s")
    tonic = tonic[0] + tonic[1:].replace("b", "f")
    return abjad.KeySignature(abjad.NamedPitchClass(tonic), abjad.Mode(key.mode))


def _room(kind: str, hand: str, column: int, width: float) -> abjad.Markup:
    """The room on the staff in which the student writes."""
    return abjad.Markup(rf'\markup \slot #"{kind}.{hand}.{column}" #{width:.2f} #{2 * NOTE_REACH}')


def _before(text: str) -> abjad.LilyPondLiteral:
    return abjad.LilyPondLiteral(text, site="before")


def _staff(staff: Staff, exercise: Exercise) -> abjad.Staff:
    leaves = [_leaf(event) for event in staff.events]
    clef, ottava = None, 0
    wide = _writes(exercise)
    for column, (leaf, event) in enumerate(zip(leaves, staff.events)):
        if event.clef != clef:
            abjad.attach(abjad.Clef(event.clef), leaf)
            clef = event.clef
        if event.ottava != ottava:
            abjad.attach(_before(rf"\ottava #{event.ottava}"), leaf)
            ottava = event.ottava
        if event.signature:
            if event.signature_written:
                abjad.attach(_before(r"\once \override Staff.KeySignature.color = #penColor"), leaf)
            if column:
                abjad.attach(_key_signature(event.signature), leaf)
        if event.signature_written:
            rest = SIGNATURE_ROOM - abs(event.signature.fifths)
            _keep_room(leaf, _room("signature", staff.hand, column, rest))
        elif wide:  # printed notes, too, stand as far apart as written ones
            _keep_room(leaf, _room("notes", staff.hand, column, NOTE_ROOM))
        if event.after == "break":
            abjad.attach(abjad.LilyPondLiteral(r"\break", site="after"), leaf)
        elif event.after in ("|.", "||"):
            abjad.attach(abjad.BarLine(event.after), leaf)
    first = staff.events[0].signature or (exercise.key if exercise.signed else None)
    if first:
        abjad.attach(_key_signature(first), leaves[0])
    start = before = 0
    for count in _measures(staff):
        if count != before:
            abjad.attach(abjad.TimeSignature((count * (4 // int(staff.events[0].value)), 4)),
                         leaves[start])
        start, before = start + count, count
    return abjad.Staff(leaves, name=staff.hand)


def _writes(exercise: Exercise) -> bool:
    return exercise.roomy or any(event.written for staff in exercise.staves
                                 for event in staff.events)


def _lines_apart(exercise: Exercise) -> bool:
    """Whether each line is a piece of its own: lines that no signature holds together."""
    return not exercise.signed and any(event.after == "break"
                                       for event in exercise.staves[0].events)


def _keep_room(leaf, room: abjad.Markup) -> None:
    abjad.attach(_before(rf"\once \override TextScript.Y-offset = #{-NOTE_REACH}"), leaf)
    abjad.attach(room, leaf, direction=abjad.UP)


_HEAD = 2.6
"""Width of a whole note's ledger line, in staff spaces."""


def _space(width: float, height: float) -> str:
    return rf"\markup \with-dimensions #'(0 . {width}) #'(0 . {height:.2f}) \null"


def _slot(row: Row, column: int) -> tuple[str, ...]:
    slot = (rf'\markup \slot #"{row.name}.{column}" '
            f"#{row.box[0]} #{row.height(column):.2f}")
    if row.asks not in ALIGN:
        return (slot,)
    return (slot, rf"- \tweak self-alignment-X #{ALIGN[row.asks]}",
            r"- \tweak extra-spacing-height #'(+inf.0 . -inf.0)")


@lru_cache(maxsize=2000)
def _cell(value: str, *rooms: tuple[str, ...]) -> str:
    """The source of a skip that keeps ``rooms``: a markup each, and its tweaks."""
    skip = _skip(value)
    for markup, *tweaks in rooms:
        room = abjad.Markup(markup)
        abjad.attach(abjad.bundle(room, *tweaks) if tweaks else room, skip, direction=abjad.UP)
    return abjad.lilypond(skip)


def _row(row: Row, exercise: Exercise) -> str:
    """The source of a row's context; many exercises have the same."""
    events = exercise.staves[0].events
    return _row_text((row.asks, row.hand, row.above, row.long, row.printed), tuple(row.stacks.items()),
                     tuple((event.value, bool(event.pitches)) for event in events))


@lru_cache(maxsize=2000)
def _row_text(kind: tuple[str, str, bool, bool, bool], stacks: tuple[tuple[int, int], ...],
              columns: tuple[tuple[str, bool], ...]) -> str:
    asks, hand, above, *rest = kind
    row = Row(asks, hand, above, dict(stacks), *rest)
    between = any(not columns[column][1] for column in row.stacks)
    cells = []
    for column, (value, sounds) in enumerate(columns):
        rooms: list[tuple[str, ...]] = []
        if between and sounds:
            # boxes between the notes keep clear of the ledger lines, too
            rooms.append((_space(_HEAD, row.box[1]),))
        elif row.asks in ALIGN:
            # boxes that reach back to the note before: each note keeps half the room
            rooms.append((_space(row.box[0] / 2, row.box[1]),))
        elif column not in row.stacks and 2 * len(row.stacks) > len(columns):
            # a note that is not asked stands as far from the next as those that are
            rooms.append((_space(*row.box),))
        if column in row.stacks:
            rooms.append(_slot(row, column))
        cells.append(_cell(value, *rooms))
    context = "BoxRowAbove" if row.above else "BoxRowBelow"
    name = row.name.replace(".", "-")
    return f'\\context {context} = "{name}"\n{{\n' + "\n".join(cells) + "\n}"


def score_source(exercise: Exercise, breaks: bool = False, turns: Sequence[int] = ()) -> str:
    """The ``\\score`` block that draws the exercise's music and keeps room for its boxes.

    With ``breaks`` a line may end within a long measure, not only at bar lines; it
    ends after each of the columns ``turns``.
    """
    staves = [_staff(staff, exercise) for staff in exercise.staves]
    for staff, column in product(staves, turns):
        abjad.attach(abjad.LilyPondLiteral(r"\break", site="after"),
                     abjad.select.leaf(staff, column))
    group = abjad.StaffGroup(staves, lilypond_type="PianoStaff") if len(staves) > 1 else staves[0]
    if breaks and may_break(exercise):
        abjad.attach(_before(r"\set Score.forbidBreakBetweenBarLines = ##f"),
                     abjad.select.leaf(staves[0], 0))
    if _writes(exercise) or _lines_apart(exercise):
        # each note shows its own accidental, whatever was written or printed before it
        abjad.attach(_before(r"\accidentalStyle Score.forget"), abjad.select.leaf(staves[0], 0))
    head, music = abjad.lilypond(abjad.Score([group], simultaneous=True)).split("<<\n", 1)
    music, end = music.rsplit(">>", 1)
    above, below = ("\n".join(_row(row, exercise) for row in rows(exercise) if row.above == side)
                    for side in (True, False))
    return f"\\score {{\n{head}<<\n{above}\n{music}\n{below}\n>>{end}\n}}"
