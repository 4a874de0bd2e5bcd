r"""An exercise as LilyPond source, its notes written by abjad.

In: an ``Exercise``. Out: the text of one ``\score`` block. Nothing in it comes from the
teacher's files, only pitches, clefs, keys and the names of slots. A box is an empty markup
of fixed size: LilyPond keeps the space and the page draws the box, so that workbook and
answer key share one picture. What the student writes on the staff is engraved in the colour
PEN, by which ``ink`` separates it from what is printed.

A column lasts a whole note, whatever its printed value, and LilyPond spaces strictly by time
(Notation Reference, "Proportional notation"). All columns are thus equally wide; a skip before
each note puts it in the middle, so that accidentals and bar lines have room on both sides.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, lru_cache
from itertools import pairwise

from workbook import design
from workbook.design import HANDS
from workbook.engraving.abjad_home import abjad
from workbook.engraving.frame import (
    Frame,
    clef_changes,
    head_width,
    lines,
    longest,
    natural,
    room_after_bars,
)
from workbook.engraving.ink import PEN
from workbook.engraving.line_breaks import is_run, turn
from workbook.engraving.rows import BoxRow, box_rows, boxes_at_ends
from workbook.exercises.model import Event, Exercise, Slot, Staff
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, scientific
from workbook.music.rhythm import Value

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
#(define (continued-octave grob)
  (let* ((whole (ly:grob-original grob))
         (pieces (if (ly:grob? whole) (ly:spanner-broken-into whole) '())))
    (if (and (pair? pieces) (not (eq? grob (car pieces))))
      (ly:grob-set-property! grob 'text
        (make-concat-markup (list "(" (ly:grob-property grob 'text "") ")"))))))
pen = {
    \once \override Staff.NoteHead.color = #penColor
    \once \override Staff.Stem.color = #penColor
    \once \override Staff.Flag.color = #penColor
    \once \override Staff.Beam.color = #penColor
    \once \override Staff.Dots.color = #penColor
    \once \override Staff.Rest.color = #penColor
    \once \override Staff.Tie.color = #penColor
}
withStems = {
    \override Voice.Stem.stencil = #ly:stem::print
    \override Voice.Flag.stencil = #ly:flag::print
    \override Voice.Beam.stencil = #ly:beam::print
    \stemUp \tieDown \autoBeamOff \set tieWaitForNote = ##t
}
oneLine = {
    \override Staff.StaffSymbol.line-count = #1
    \override Staff.BarLine.bar-extent = #'(-2 . 2)
}
boxRow = \with {
    \consists "Text_engraver" \consists "Axis_group_engraver"
    \override TextScript.outside-staff-priority = ##f
    \override TextScript.staff-padding = ##f
    \override TextScript.Y-offset = #0
    \override TextScript.extra-spacing-width = #'(+inf.0 . -inf.0)
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
  \context { \name "BoxRowAbove" \type "Engraver_group" \boxRow
    \override VerticalAxisGroup.staff-affinity = #DOWN }
  \context { \name "BoxRowBelow" \type "Engraver_group" \boxRow
    \override VerticalAxisGroup.staff-affinity = #UP }
  \context { \Staff \remove "Time_signature_engraver" printKeyCancellation = ##f
    explicitKeySignatureVisibility = #end-of-line-invisible
    ottavationMarkups = #ottavation-ordinals
    \override OttavaBracket.after-line-breaking = #continued-octave
    \override KeyCancellation.break-visibility = #all-invisible
    \override TextScript.outside-staff-priority = ##f
    \override TextScript.staff-padding = ##f
    \override TextScript.extra-spacing-width = #'(+inf.0 . -inf.0) }
  \context { \Voice \omit Stem \omit Flag \omit Beam }
  \context { \Score \accepts "BoxRowAbove" \accepts "BoxRowBelow" \remove "Bar_number_engraver"
    \accidentalStyle Score.modern
    forbidBreakBetweenBarLines = ##f
    proportionalNotationDuration = #(ly:make-moment 1/2)
    \override SpacingSpanner.uniform-stretching = ##t
    \override SpacingSpanner.strict-note-spacing = ##t
    \override NonMusicalPaperColumn.line-break-permission = ##f }
"""
"""Settings that all scores of a run share; goes into one top-level layout block."""


@cache
def _pitch(p: Pitch) -> abjad.NamedPitch:
    return abjad.NamedPitch(scientific(p))


@lru_cache(maxsize=4000)
def _note(
    value: str,
    lasts: Fraction,
    pitches: tuple[Pitch, ...],
    written: tuple[Pitch, ...],
    room: str,
    rest: bool = False,
) -> str:
    """The source of a note, chord, ``rest`` or skip that looks like ``value`` and ``lasts`` so
    many whole notes; ``room`` is the markup of the space it keeps, or "".
    """
    leaf = _leaf(value, lasts, pitches, rest)
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


def _leaf(value: str, lasts: Fraction, pitches: tuple[Pitch, ...], rest: bool) -> abjad.Leaf:
    named = [_pitch(p) for p in pitches]
    length = _length(value)
    duration = abjad.Duration(*length.as_integer_ratio())
    if rest:
        make = getattr(abjad.Rest, "from_duration", None)
        return _lasting(make(duration) if make else abjad.Rest(duration), lasts / length)
    if not named:
        return _skip(lasts)
    made: abjad.Leaf
    if len(named) > 1:
        make = getattr(abjad.Chord, "from_duration_and_pitches", None)
        made = make(duration, named) if make else abjad.Chord(named, duration)
    else:
        make = getattr(abjad.Note, "from_duration_and_pitch", None)
        made = make(duration, named[0]) if make else abjad.Note(named[0], duration)
    return _lasting(made, lasts / length)


def _length(value: str) -> Fraction:
    """How long a note looks, in whole notes: ``"4."`` is 3/8."""
    return Value(int(value.rstrip(".")), value.count(".")).length


def _skip(lasts: Fraction) -> abjad.Leaf:
    make = getattr(abjad.Skip, "from_duration", None)
    duration = abjad.Duration(1)
    made: abjad.Leaf = make(duration) if make else abjad.Skip(duration)
    return _lasting(made, lasts)


def _lasting(leaf: abjad.Leaf, times: Fraction) -> abjad.Leaf:
    """``leaf``, which lasts ``times`` as long as it looks."""
    factor: tuple[int, int] = times.as_integer_ratio()
    for setter in ("set_dmp", "set_multiplier"):  # newer versions of abjad, newest first
        if hasattr(leaf, setter):
            getattr(leaf, setter)(factor)
            return leaf
    leaf.multiplier = factor
    return leaf


def _heads(leaf: abjad.Leaf) -> list[abjad.NoteHead]:
    """A leaf's note heads, low to high."""
    one = isinstance(leaf, abjad.Note)
    heads = getattr(leaf, "note_head" if one else "note_heads")
    heads = heads() if callable(heads) else heads
    return [heads] if one else list(heads)


def _key_signature(key: Key) -> str:
    tonic = key.tonic.lower().replace("#", "s")
    return rf"\key {tonic[0]}{tonic[1:].replace('b', 'f')} \{key.mode}"


@dataclass(frozen=True)
class _Grid:
    """Where the columns of an exercise stand, in whole notes of a width of ``pitch`` each.

    ``before`` is the skip before each column's note, ``after`` that which fills its line up, or
    makes room for a clef; ``ends`` are the last columns of the lines but for the last.
    """

    pitch: float
    before: tuple[Fraction, ...]
    after: tuple[Fraction, ...]
    ends: tuple[int, ...]

    def middle(self, column: int) -> float:
        """The middle of a column, in staff spaces from where its notes begin."""
        return (0.5 - float(self.before[column])) * self.pitch

    def starts_line(self, column: int) -> bool:
        return not column or column - 1 in self.ends

    @property
    def lines(self) -> Iterator[range]:
        """The columns of each line of music."""
        ends = [-1, *self.ends, len(self.before) - 1]
        return (range(last + 1, end + 1) for last, end in pairwise(ends))


_ASIDE = 0.8
"""The most that a chord is moved to the right of its column's middle, in staff spaces."""
_RESTS = {"1": 1.5, "2": 1.5, "4": 1.08, "8": 0.98, "16": 1.28}
"""The width of a rest in staff spaces, by its value (LilyPond's font Emmentaler)."""
_FINEST = 96
"""Columns are divided into at most so many parts."""
_BREATH, _CLEF_ASIDE = 0.8, 0.68
"""How far to the right a breath sign and a clef within a line are moved, in staff spaces: a clef
then stands in the middle between two notes. At the end of a line within a bar, a breath is moved
to the left, onto the line.
"""
_SIGN, _SIGN_PAD = 1.1, 1.2
"""The width of a sharp or flat in a signature, and the space beside it, in staff spaces."""


def _grid(exercise: Exercise, frame: Frame) -> _Grid:
    events = exercise.staves[0].events
    ends = lines(exercise, frame)
    room = frame.width - frame.lead
    after = {
        column: design.CLEF_ROOM
        for column in range(len(events) - 1)
        if column not in ends
        and room / longest(ends, len(events)) < design.CLEF_PITCH
        and clef_changes(exercise, column)
    }
    counts = {
        end: sum(
            (after.get(column, Fraction(0)) for column in range(start + 1, end)),
            Fraction(end - start),
        )
        for start, end in pairwise([-1, *ends, len(events) - 1])
    }
    most = max(counts.values())
    after.update({end: most - count for end, count in counts.items()})
    grid = _Grid(room / float(most), (), (), ends)
    return replace(
        grid,
        before=tuple(_before(exercise, column, grid) for column in range(len(events))),
        after=tuple(after.get(column, Fraction(0)) for column in range(len(events))),
    )


def _before(exercise: Exercise, column: int, grid: _Grid) -> Fraction:
    """The skip before the note of ``column``: its head then stands in the column's middle, or a
    little to the right of it.
    """
    events = [staff.events[column] for staff in exercise.staves]
    sounds = any(event.pitches or event.rest for event in events)
    half = sounds * _width(events[0]) / 2 / grid.pitch
    before = 0.5 - half
    if sounds and not grid.starts_line(column):
        # a little to the right, if accidentals would stand too close to a bar line
        room = exercise.once(room_after_bars).get(column, 0.0) / grid.pitch
        before += min(max(room - 0.5, 0.0), _ASIDE / grid.pitch)
    signature = events[0].signature
    if signature and not grid.starts_line(column):
        wide = (abs(signature.fifths) * _SIGN + _SIGN_PAD) / grid.pitch
        before = max(before, wide) if sounds else wide
    if events[0].time and not grid.starts_line(column):
        digits = max(map(len, events[0].time.split("/")))
        before = max(before, (_TIME_INSIDE + digits * _TIME_DIGIT + _TIME_PAD) / grid.pitch)
    return Fraction(before).limit_denominator(_FINEST)


def _width(event: Event) -> float:
    """The width of a note head or rest, without its dots, in staff spaces."""
    base = event.value.rstrip(".")
    return _RESTS[base] if event.rest else head_width(base)


def _room(kind: str, hand: str, column: int, width: float) -> str:
    """The space on the staff in which the student writes."""
    return rf'\markup \slot #"{Slot(kind, hand, column)}" #{width:.2f} #{2 * design.NOTE_REACH}'


_SIGNATURE_SHARE, _CLEF_SHARE = {"treble": 5.225, "bass": 5.342}, 0.814
"""What a lead holds beside the extent of the key signature, by the widest clef, and beside the
clef's distance to the first note if there is no signature, in staff spaces (measured on what
LilyPond draws)."""
_AFTER_CLEF, _AFTER_BAR = 3.0, 1.0
"""Where the room for a written signature begins, in staff spaces from the start of the line or
of the column. A line without notes stands 1.1 farther right than its lead says (measured)."""


def _lead(exercise: Exercise, frame: Frame) -> Iterator[str]:
    """What makes clef and signature as wide as the frame says."""
    clefs = {staff.events[0].clef for staff in exercise.staves}
    share = _SIGNATURE_SHARE["bass" if "bass" in clefs else "treble"]
    yield (
        r"\override Staff.KeySignature.X-extent = "
        f"#'(0 . {frame.lead - share:.3f})"
    )
    yield (
        r"\override Staff.Clef.space-alist.first-note = "
        f"#'(minimum-fixed-space . {frame.lead - _CLEF_SHARE:.3f})"
    )


def _staff(
    staff: Staff, exercise: Exercise, frame: Frame, grid: _Grid, opening: Sequence[str]
) -> str:
    """The source of a staff that begins with ``opening``."""
    source = [rf'\context Staff = "{staff.hand}"', "{", *opening, *_lead(exercise, frame)]
    source += [r"\oneLine"] * (staff.lines == 1) + [r"\withStems"] * staff.stems
    source += [r"\stemNeutral"] * (staff.stems and staff.lines > 1)
    before, times, wide = _NOTHING, _times(staff, grid), _writes(exercise)
    at_ends = boxes_at_ends(exercise, frame.size)
    for column, event in enumerate(staff.events):
        signature = event.signature
        if not column and exercise.signed:
            signature = signature or exercise.key
        skip = grid.before[column]
        if column in at_ends:
            skip = _staff_share(at_ends[column], grid)
        source += [r"\startStaff"] * (column - 1 in at_ends)
        source += filter(None, [times.get(column)])
        inside = signature and not grid.starts_line(column)
        if inside:
            source += [_cell(skip), *_NATURAL]
        source += _changes(before, event)
        if signature:
            source.append(_key_signature(signature))
        if not inside:
            source.append(_cell(skip, *_time(event, staff, frame, grid.starts_line(column))))
        places: Sequence[str]
        if column in at_ends:
            source += [_BARS[event.after], r"\stopStaff"]
            places, room = _end_room(at_ends[column], column, staff, exercise)
        else:
            places, room = _rooms(staff, column, grid, frame, wide, bool(inside))
        source += places
        source += [r"\pen"] * event.pen + _BEFORE_NOTES.get(event.sign, [])
        note = _note(event.value, 1 - skip, event.pitches, event.written, room, event.rest)
        source.append(note + _SIGNS[event.sign] + event.beam + " ~" * event.tied)
        source += _ending(staff, column, grid, column in at_ends)
        before = event
    return "\n".join([*source, "}"])


def _rooms(
    staff: Staff, column: int, grid: _Grid, frame: Frame, wide: bool, inside: bool
) -> tuple[Sequence[str], str]:
    """Settings for the place of the room in which the student writes at a column, and its
    markup; "" if there is none. ``wide`` music has one at every column.
    """
    event, skip = staff.events[column], float(grid.before[column]) * grid.pitch
    if event.signature and event.signature_written:
        start = _AFTER_BAR if inside else _AFTER_CLEF - frame.lead
        return _at(start - skip), _room("signature", staff.hand, column, design.SIGNATURE_ROOM)
    if event.room:
        whole = event.span * grid.pitch
        width = whole - design.BOX_GAP if event.span > 1 else min(whole, design.WRITING_PITCH)
        return _at((whole - width) / 2 - skip), _room(event.room, staff.hand, column, width)
    if not wide:
        return (), ""
    # printed notes keep a room, too, so that they stand like written ones
    width = min(grid.pitch - design.BOX_GAP, design.WRITING_PITCH)
    return _at(grid.middle(column) - width / 2), _room("notes", staff.hand, column, width)


_SIGNS = {
    "": "",
    "piano": r"\p",
    "forte": r"\f",
    "mezzo piano": r"\mp",
    "mezzo forte": r"\mf",
    "pianissimo": r"\pp",
    "fortissimo": r"\ff",
    "sforzando": r"\sf",
    "fortepiano": r"\fp",
    "staccato": r"\staccato",
    "crescendo": r"\<",
    "crescendo end": r"\!",
    "diminuendo": r"\>",
    "diminuendo end": r"\!",
    "tenuto": r"\tenuto",
    "marcato": r"^\marcato",
    "slur": "(",
    "slur end": ")",
    "repeat signs": "",
    "tie": "",
    "fermata": r"\fermata",
    "accent": r"\accent",
    "segno": r"\segno",
    "coda sign": r"\coda",
    "pedal signs": r"\sustainOn",
    "pedal signs end": r"\sustainOff",
    "octave sign": "",
    "octave sign end": r" \ottava #0",
    "staccatissimo": r"\staccatissimo",
    "arpeggio": r"\arpeggio",
    "trill": r"\trill",
    "portato": r"\portato",
    "mordent": r"\mordent",
    "inverted mordent": r"\prall",
    "turn": r"\turn",
}
"""How LilyPond writes the signs at notes, by their names (see ``music.signs``)."""
_BEFORE_NOTES = {"octave sign": [r"\ottava #1"]}
"""What stands before the note at which a sign begins."""
_TIME_INSIDE, _TIME_DIGIT, _TIME_PAD = 1.0, 1.55, 0.5
"""Within a line: from the bar line to a time signature, the width of a digit, and the space after
it, in staff spaces."""
_TIME_AT, _TIME_BEFORE = 4.3, 2.2
"""Where a time signature begins, in staff spaces from the start of its line; where there may be a
key signature, how far before the first column."""


def _time(event: Event, staff: Staff, frame: Frame, first: bool) -> tuple[tuple[str, ...], ...]:
    """The time signature before a column, the ``first`` of its line or not, as a markup with its
    place.
    """
    if not event.time:
        return ()
    at = _TIME_INSIDE
    if first:
        at = _TIME_AT - frame.lead if staff.lines == 1 else -_TIME_BEFORE
    digits = " ".join(f'"{number}"' for number in event.time.split("/"))
    return (
        (
            rf"\markup \override #'(baseline-skip . 0) \number \center-column {{ {digits} }}",
            rf"- \tweak X-offset #{at:.3f}",
            r"- \tweak Y-offset #0",
        ),
    )


_NOTHING = Event((), "")
"""What is before the first column."""
_NATURAL = (r"\once \override Staff.KeySignature.X-extent = #ly:grob::stencil-width",)
"""A signature within a line is as wide as it is."""


_DRAWN_BARS = ("|.", "||", ".|:", ":|.")
"""The bar lines that LilyPond does not draw by itself."""
_BARS = {"break": r'\bar "|"', "|.": r'\bar "|."'}
"""The bar line before a box at the end of a staff, by what follows its column."""
_BETWEEN_STAVES = 4.5
"""From the middle of the lower staff to the middle between two staves, in staff spaces."""


def _end_room(
    row: BoxRow, column: int, staff: Staff, exercise: Exercise
) -> tuple[tuple[str, ...], str]:
    """The place and the space of a box at the end of a staff: after the bar line, in the middle
    of the height. Of two staves, that of the box's hand keeps it.
    """
    if row.hand != staff.hand:
        return (), ""
    width, height = row.box
    middle = _BETWEEN_STAVES * (len(exercise.staves) > 1)
    slot = rf'\markup \slot #"{row.slot(column)}" #{width:.3f} #{height:.3f}'
    return _place(2 * design.BOX_GAP, middle - height / 2), slot


def _staff_share(row: BoxRow, grid: _Grid) -> Fraction:
    """The share of its last column that a staff fills, before the box at its end."""
    share = 1 - (row.box[0] + 2 * design.BOX_GAP) / grid.pitch
    return Fraction(share).limit_denominator(_FINEST)


def _at(x: float) -> tuple[str, str]:
    """Settings for a room on the staff that begins at ``x``."""
    return _place(x, -design.NOTE_REACH)


def _place(x: float, y: float) -> tuple[str, str]:
    """Settings for a markup whose lower left corner is at (x, y)."""
    return (
        rf"\once \override TextScript.X-offset = #{x:.3f}",
        rf"\once \override TextScript.Y-offset = #{y:.3f}",
    )


def _ending(staff: Staff, column: int, grid: _Grid, boxed: bool) -> Iterator[str]:
    """What follows a column: a breath at the turn of a run, a bar line, the line's end.

    Nothing is drawn after a column that is ``boxed``, a box at the end of a staff.
    """
    event = staff.events[column]
    if event.pen_bar:
        yield r"\once \override Staff.BarLine.color = #penColor"
    if column == turn(staff):
        aside = _BREATH if event.after or column not in grid.ends else -_BREATH
        yield rf"\once \override BreathingSign.extra-offset = #'({aside} . 0) \breathe"
    if grid.after[column]:
        yield f"s1*{grid.after[column]}"
    if boxed:
        yield r'\bar ""'
    elif event.after in _DRAWN_BARS:
        yield rf'\bar "{event.after}"'
    if column in grid.ends:
        yield r"\break"


def _changes(before: Event, event: Event) -> Iterator[str]:
    """The clef and octave line of ``event``, where ``before`` had others; the colour of a
    signature that the student writes.
    """
    if event.clef != before.clef:
        if before.clef:
            yield rf"\once \override Staff.Clef.extra-offset = #'({_CLEF_ASIDE} . 0)"
        yield rf'\clef "{event.clef}"'
        if event.clef == "percussion":
            yield r"\set Staff.middleCPosition = #-6"
    if event.ottava != before.ottava:
        yield rf"\ottava #{event.ottava}"
    if event.signature_written:
        yield r"\once \override Staff.KeySignature.color = #penColor"


def _times(staff: Staff, grid: _Grid) -> dict[int, str]:
    """The time signatures, which are not printed, by the column where they change."""
    found: dict[int, str] = {}
    start, count, before = 0, Fraction(0), Fraction(0)
    for column, event in enumerate(staff.events):
        count += 1 + grid.after[column]
        if event.after or column == len(staff.events) - 1:
            if count != before:
                found[start] = rf"\time {count.numerator}/{count.denominator}"
            start, count, before = column + 1, Fraction(0), count
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


def _slot(row: BoxRow, column: int, middle: float) -> tuple[str, ...]:
    """A slot and its place: it is measured from the column, as LilyPond would count a chord's
    heads that stand aside.
    """
    width = row.box[0]
    return (
        rf'\markup \slot #"{row.slot(column)}" #{width:.3f} #{row.height(column):.3f}',
        rf"- \tweak X-offset #{middle - row.before * width:.3f}",
    )


@lru_cache(maxsize=4000)
def _cell(lasts: Fraction, *rooms: tuple[str, ...]) -> str:
    """The source of a skip that keeps the spaces ``rooms``: for each a markup and its tweaks."""
    if not lasts:
        return ""
    skip = _skip(lasts)
    for markup, *tweaks in rooms:
        room = abjad.Markup(markup)
        abjad.attach(abjad.bundle(room, *tweaks) if tweaks else room, skip, direction=abjad.UP)
    text: str = abjad.lilypond(skip)
    return text


def _rows(exercise: Exercise, frame: Frame, grid: _Grid, above: bool) -> list[str]:
    """The source of the rows of boxes on one side of the staves.

    In each line of music, a row stands beside an earlier one where their boxes keep clear of one
    another, and below or above it where not.
    """
    found = [row for row in box_rows(exercise, frame.size) if row.above == above]
    boxes: dict[str, dict[int, BoxRow]] = {row.name: {} for row in found}
    for line in grid.lines:
        for first, *others in _side_by_side(found, line, grid):
            printed = first.printed and all(row.printed for row in others)
            for row in (first, *others):
                own = row.stacks.keys() & set(line)
                boxes[first.name].update(dict.fromkeys(own, replace(row, printed=printed)))
    return [
        _row(row, boxes[row.name], grid, any(_slips_in(row, other) for other in found))
        for row in found
    ]


def _side_by_side(found: Sequence[BoxRow], line: range, grid: _Grid) -> list[list[BoxRow]]:
    """The rows that have boxes in a line of music, those together that stand beside one another."""
    together: list[list[BoxRow]] = []
    for row in found:
        if row.stacks.keys() & set(line):
            rows = next((rows for rows in together if _is_clear(row, rows, line, grid)), None)
            if rows:
                rows.append(row)
            else:
                together.append([row])
    return together


def _is_clear(row: BoxRow, others: Sequence[BoxRow], line: range, grid: _Grid) -> bool:
    """Whether the boxes of ``row`` have room beside those of ``others`` in a line of music."""
    if any(max(one.stacks.values()) > 1 or one.hand != row.hand for one in (row, *others)):
        return False
    spans = sorted(
        (left, left + one.box[0])
        for one in (row, *others)
        for column in one.stacks.keys() & set(line)
        for left in [(column - line.start + 0.5) * grid.pitch - one.before * one.box[0]]
    )
    return all(start - end >= design.BOX_GAP for (_, end), (start, _) in pairwise(spans))


def _slips_in(row: BoxRow, other: BoxRow) -> bool:
    """Whether the boxes of two rows have no column in common: LilyPond lets one row then stand
    between the boxes of the other.
    """
    return row.hand == other.hand and not row.stacks.keys() & other.stacks.keys()


def _margin(row: BoxRow, column: int, middle: float) -> tuple[str, ...]:
    """Space at both sides of a slot, which keeps boxes of other rows away."""
    width = row.box[0]
    wide = width + 2 * design.BOX_GAP
    return (
        rf"\markup \with-dimensions #'(0 . {wide:.3f}) #'(0 . {row.height(column):.3f}) \null",
        rf"- \tweak X-offset #{middle - row.before * width - design.BOX_GAP:.3f}",
    )


def _row(row: BoxRow, boxes: dict[int, BoxRow], grid: _Grid, apart: bool) -> str:
    """The source of a row's context, which holds ``boxes``, the row of each by its column;
    ``apart`` keeps those of other contexts away at their sides.
    """
    draws = (_slot, _margin) if apart else (_slot,)
    cells = []
    for column, before in enumerate(grid.before):
        own = boxes.get(column)
        rooms = [draw(own, column, grid.middle(column)) for draw in draws] if own else []
        cells += [_cell(before), _cell(1 - before, *rooms), _cell(grid.after[column])]
    context = "BoxRowAbove" if row.above else "BoxRowBelow"
    name = row.name.replace(".", "-")
    return f'\\context {context} = "{name}"\n{{\n' + "\n".join(filter(None, cells)) + "\n}"


_STAFF_SPACE = 5
"""LilyPond's points in a staff space, at the size of all snippets."""


def score_source(exercise: Exercise, frame: Frame | None = None) -> str:
    r"""The ``\score`` block that draws the exercise's music in ``frame``, and keeps space for
    its boxes; without one, in a frame of its own.
    """
    frame = frame or natural(exercise)
    grid = _grid(exercise, frame)
    opening = []
    if is_run(exercise.staves[0]):
        opening.append(r'\set Score.measureBarType = ""')
    if _writes(exercise) or _lines_apart(exercise):
        # each note shows its own accidental, whatever was written or printed before it
        opening.append(r"\accidentalStyle Score.forget")
    staves = [
        _staff(staff, exercise, frame, grid, () if number else opening)
        for number, staff in enumerate(exercise.staves)
    ]
    if len(staves) > 1:
        staves = [r"\new PianoStaff", "<<", *staves, ">>"]
    above, below = (_rows(exercise, frame, grid, side) for side in (True, False))
    return "\n".join(
        [r"\score {", r"\new Score", "<<", *above, *staves, *below, ">>", _layout(frame), "}"]
    )


def _layout(frame: Frame) -> str:
    """The length of the lines, and how far apart two staves are if not as in LilyPond."""
    width = rf"line-width = {frame.width * _STAFF_SPACE:.2f}\pt"
    pair = HANDS[frame.size].pair
    if pair != HANDS[design.DEFAULT_HAND].pair:
        apart = rf"\override StaffGrouper.staff-staff-spacing.basic-distance = #{pair}"
        width += rf" \context {{ \PianoStaff {apart} }}"
    return rf"\layout {{ {width} }}"
