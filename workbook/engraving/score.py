"""An exercise as LilyPond source, built from abjad objects.

In: an ``Exercise``. Out: the text of one ``\\score`` block. Nothing in it comes
from the teacher's files: only pitches, clefs, keys and the names of slots.
A box is an empty markup of fixed size: LilyPond keeps the room, the page draws
the box, so that workbook and answer key share one picture.
"""

from __future__ import annotations

import abjad

from workbook.engraving.rows import Row, rows
from workbook.exercises.model import Exercise, Staff

BOX_ROW = r"""
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
    \override VerticalAxisGroup.nonstaff-relatedstaff-spacing = #'((basic-distance . 0) (minimum-distance . 0) (padding . 1.3) (stretchability . 0))
    \override VerticalAxisGroup.nonstaff-nonstaff-spacing = #'((basic-distance . 0) (minimum-distance . 0) (padding . 1.2) (stretchability . 0))
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
  \context { \Staff \remove "Time_signature_engraver" }
  \context { \Score \accepts "BoxRowAbove" \accepts "BoxRowBelow" \remove "Bar_number_engraver"
    \accidentalStyle Score.modern }
"""
"""Shared by all scores of a run; goes into one top-level layout block."""


def _leaf(pitches, value: str):
    duration = abjad.Duration(1, int(value))
    if len(pitches) == 1:
        if hasattr(abjad.Note, "from_duration_and_pitch"):
            return abjad.Note.from_duration_and_pitch(duration, pitches[0])
        return abjad.Note(pitches[0], duration)
    if hasattr(abjad.Chord, "from_duration_and_pitches"):
        return abjad.Chord.from_duration_and_pitches(duration, list(pitches))
    return abjad.Chord(list(pitches), duration)


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


def _staff(staff: Staff, exercise: Exercise) -> abjad.Staff:
    leaves = [_leaf(event.pitches, event.value) for event in staff.events]
    clef = None
    for leaf, event in zip(leaves, staff.events):
        if event.clef != clef:
            abjad.attach(abjad.Clef(event.clef), leaf)
            clef = event.clef
        if event.after == "break":
            abjad.attach(abjad.LilyPondLiteral(r"\break", site="after"), leaf)
        elif event.after == "|.":
            abjad.attach(abjad.BarLine("|."), leaf)
    key = exercise.key
    tonic = key.tonic.lower().replace("#", "s")
    tonic = tonic[0] + tonic[1:].replace("b", "f")
    abjad.attach(abjad.KeySignature(abjad.NamedPitchClass(tonic), abjad.Mode(key.mode)),
                 leaves[0])
    start = 0
    for count in _measures(staff):
        abjad.attach(abjad.TimeSignature((count * (4 // int(staff.events[0].value)), 4)),
                     leaves[start])
        start += count
    return abjad.Staff(leaves, name=staff.hand)


def _row(row: Row, exercise: Exercise) -> abjad.Context:
    skips = []
    for column, event in enumerate(exercise.staves[0].events):
        skip = _skip(event.value)
        if column in row.stacks:
            abjad.attach(abjad.Markup(
                rf'\markup \slot #"{row.name}.{column}" #{row.box[0]} #{row.height(column):.2f}'), skip,
                direction=abjad.UP)
        skips.append(skip)
    kind = "BoxRowAbove" if row.above else "BoxRowBelow"
    return abjad.Context(skips, lilypond_type=kind, name=row.name.replace(".", "-"))


def score_source(exercise: Exercise) -> str:
    """The ``\\score`` block that draws the exercise's music and keeps room for its boxes."""
    staves = [_staff(staff, exercise) for staff in exercise.staves]
    group = abjad.StaffGroup(staves, lilypond_type="PianoStaff") if len(staves) > 1 else staves[0]
    above = [_row(row, exercise) for row in rows(exercise) if row.above]
    below = [_row(row, exercise) for row in rows(exercise) if not row.above]
    score = abjad.Score([*above, group, *below], simultaneous=True)
    return "\\score {\n" + abjad.lilypond(score) + "\n}"
