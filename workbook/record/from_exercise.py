"""Makes items of a record from exercises.

In: an exercise and its position in a workbook. Out: ``model.Item``, and the JSON text that
all workbooks with the same exercise share.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from workbook.exercises.model import Blank as Asked
from workbook.exercises.model import Exercise, Place
from workbook.music.pitch import Pitch, scientific, staff_degree
from workbook.music.register import most_lines
from workbook.record.matching import accepted_alone, groups_of, match_of
from workbook.record.model import Blank, Item, Notes, Rect
from workbook.record.writer import Fragment, fragment

_SIDE = {"treble": "right", "bass": "left", "percussion": "right"}
_new = tuple.__new__  # what a named tuple does, without its function
_NOWHERE: Rect = (0.0, 0.0, 0.0, 0.0)


def facts(exercise: Exercise) -> dict[str, int]:
    """Counts that indicate how hard an exercise is.

    ``accidentals``: in the key signature. ``hands``: that play, or staves to read.
    ``notes`` and ``columns``: in the music. ``ledger_lines``: the most that a printed note
    needs. ``octaves`` and ``degrees``: the widest range on one staff; octaves are rounded up,
    degrees include both ends. A figure has only the first two counts.
    """
    found = {"accidentals": abs(exercise.key.fifths), "hands": max(len(exercise.staves), 1)}
    events = [event for staff in exercise.staves for event in staff.events if event.pitches]
    if not events:
        return found
    span = 0
    for staff in exercise.staves:
        degrees = [staff_degree(p) for event in staff.events for p in event.pitches]
        span = max(span, max(degrees, default=0) - min(degrees, default=0))
    return found | {
        "notes": sum(len(event.pitches) for event in events),
        "columns": len(exercise.staves[0].events),
        "ledger_lines": max(
            most_lines(
                [p._replace(octave=p.octave - event.ottava) for p in event.pitches],
                _SIDE[event.clef],
            )
            for event in events
        ),
        "octaves": -(-span // 7),
        "degrees": span + 1,
    }


def item(
    exercise: Exercise,
    *,
    number: int,
    points: int,
    page: int,
    skill: str,
    places: Mapping[Place, tuple[int, Rect]],
) -> Item:
    """The item of an exercise at ``number``.

    ``places`` has the page number and rectangle (points) of each blank. Rectangles
    are rounded to 0.01 point. Raises KeyError if a blank is missing from ``places``.
    """
    plain = exercise.once(unplaced)
    blanks = []
    for index, (asked, blank) in enumerate(zip(exercise.asked, plain.blanks), 1):
        blank_page, rect = places[asked[:4]]
        placed = blank_page, tuple(map(_rounded, rect))
        blanks.append(_new(Blank, (f"{number}.{index}", *blank[1:-2], *placed)))
    return Item(
        number,
        plain.family,
        skill,
        plain.key,
        plain.hand,
        exercise.scale_form,
        dict(exercise.settings),
        exercise.given,
        plain.facts,
        page,
        points,
        plain.prompt,
        plain.notes,
        plain.groups,
        tuple(blanks),
    )


@lru_cache(maxsize=4096)  # boxes stand in rows and columns, in all workbooks at the same places
def _rounded(length: float) -> float:
    return round(length, 2)


def shared(exercise: Exercise) -> Fragment:
    """The JSON text that all items with this exercise share, made once.

    For ``writer.record_text``.
    """
    return exercise.once(_fragment)


def _fragment(exercise: Exercise) -> Fragment:
    return fragment(exercise.once(unplaced))


def notes_of(exercise: Exercise) -> Notes:
    """The notes of each hand, column by column."""
    return {
        staff.hand: tuple(tuple(map(scientific, event.pitches)) for event in staff.events)
        for staff in exercise.staves
    }


def unplaced(exercise: Exercise) -> Item:
    """The item without what depends on the workbook, such as number, page and rectangles."""
    return Item(
        0,
        exercise.family,
        "",
        exercise.key_name,
        exercise.hand,
        "",
        {},
        0,
        facts(exercise),
        0,
        0,
        exercise.prompt,
        notes_of(exercise),
        groups_of(exercise.asked),
        tuple(_blank(index, blank) for index, blank in enumerate(exercise.asked, 1)),
    )


@lru_cache(maxsize=1024)
def _id(index: int) -> str:
    return f"0.{index}"


@lru_cache(maxsize=4096)  # the notes of a key
def _names(pitches: tuple[Pitch, ...]) -> tuple[str, ...]:
    return tuple(map(scientific, pitches))


@lru_cache(maxsize=4096)  # many exercises have blanks alike
def _blank(index: int, blank: Asked) -> Blank:
    return Blank(
        _id(index),
        blank.asks,
        blank.hand,
        blank.column,
        _names(blank.of),
        match_of(blank.asks),
        blank.answer,
        accepted_alone(blank),
        blank.why,
        0,
        _NOWHERE,
    )
