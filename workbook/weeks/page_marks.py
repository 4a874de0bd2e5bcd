"""A sheet marked on its page, box by box.

In: a touch on a box. Out: marks, each in the record before the next. The first touch on a sheet
without marks makes all other boxes right, as ``marking_session`` does with the first line.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from threading import Lock

from workbook.errors import WorkbookError
from workbook.marking.outcome import Outcome
from workbook.music.naming import ENGLISH, Naming
from workbook.music.pitch import pitch
from workbook.record.model import Blank, Item, Record
from workbook.studio_record.model import Mark, Way
from workbook.weeks.marks import Summary, enter
from workbook.weeks.studios import OpenStudio

_TURNS = {
    Outcome.NOT_MARKED: Outcome.WRONG,
    Outcome.WRONG: Outcome.EMPTY,
    Outcome.EMPTY: Outcome.RIGHT,
    Outcome.RIGHT: Outcome.WRONG,
}
_UNMARKED = Mark(Outcome.NOT_MARKED)
_MOST_STEPS = 500


class NotTaken(WorkbookError):
    """The touch is not valid on this sheet; nothing was marked."""


@dataclass(frozen=True)
class PageBox:
    """A box to touch.

    ``number`` counts the boxes of the sheet from 1, ``place`` is what the list of answers
    calls it (``3.5``). ``note`` is the name of the one note that it stands at, "" without one.
    ``turn`` is what the next touch makes of it.
    """

    number: int
    place: str
    blank: Blank
    outcome: Outcome
    note: str = ""

    @property
    def turn(self) -> Outcome:
        return _TURNS[self.outcome]

    @property
    def name(self) -> str:
        """What a screen reader says: ``"3.5, B♭, finger, right answer 4"``."""
        answer = self.blank.answer or "nothing"
        about = [self.place, self.note, self.blank.asks, f"right answer {answer}"]
        return ", ".join(filter(None, about))


def page_boxes(
    workbook: Record, marks: Mapping[str, Mark], naming: Naming = ENGLISH
) -> list[PageBox]:
    """The boxes of a sheet, in the order of its exercises, in the words of ``naming``."""
    places = [
        (f"{item.number}.{place}", blank, _note(item, blank, naming))
        for item in workbook.items
        for place, blank in enumerate(item.blanks, 1)
    ]
    return [
        PageBox(number, place, blank, marks.get(blank.id, _UNMARKED).outcome, note)
        for number, (place, blank, note) in enumerate(places, 1)
    ]


def _note(item: Item, blank: Blank, naming: Naming) -> str:
    """The name of the note that a box stands at, if it is one, and not the answer itself.

    Rhythms, which are in no key, have notes of no meaning.
    """
    columns = item.notes.get(blank.hand, ()) if item.key else ()
    notes = columns[blank.column] if blank.column < len(columns) else ()
    if len(notes) != 1:
        return ""
    name = _named(notes[0], naming)
    return "" if name == blank.answer else name


@cache
def _named(note: str, naming: Naming) -> str:
    return naming.note(pitch(note))


class PageMarking:
    """The marking of one sheet, with its steps, which can be undone.

    Several threads may use it. Each method returns when the marks are in the record, and
    raises RecordError if they are not.
    """

    def __init__(self, code: str):
        self.code = code
        self._steps: list[tuple[dict[str, Mark], dict[str, Mark]]] = []
        self._lock = Lock()

    @property
    def can_undo(self) -> bool:
        """Whether there is a step to undo."""
        return bool(self._steps)

    def touch(self, studio: OpenStudio, numbers: int | Sequence[int], outcome: Outcome) -> Summary:
        """Mark a box by its number, or several in one step.

        Raises NotTaken if the sheet has no such box; nothing is marked then.
        """
        blanks = studio.record.workbook(self.code).blanks
        several = (numbers,) if isinstance(numbers, int) else numbers
        for number in several:
            if not 1 <= number <= len(blanks):
                raise NotTaken(f"{self.code} has no box {number}")
        with self._lock:
            wanted = {blanks[number - 1].id: outcome for number in several}
            marks = studio.record.marks(self.code)
            if not _marked(marks):
                wanted = {blank.id: Outcome.RIGHT for blank in blanks} | wanted
            return self._write(studio, wanted, marks)

    def rest_right(self, studio: OpenStudio) -> Summary:
        """Every box that is not marked is right."""
        with self._lock:
            marks = studio.record.marks(self.code)
            return self._write(
                studio,
                {
                    blank.id: Outcome.RIGHT
                    for blank in studio.record.workbook(self.code).blanks
                    if marks.get(blank.id, _UNMARKED).outcome == Outcome.NOT_MARKED
                },
                marks,
            )

    def page_missing(self, studio: OpenStudio, page: int) -> Summary:
        """The boxes of a page are not marked: it did not come back.

        On a sheet without marks, all other boxes are right. Raises NotTaken if there is no such
        page, or if no other page has boxes.
        """
        with self._lock:
            blanks = studio.record.workbook(self.code).blanks
            missing = {one.id: Outcome.NOT_MARKED for one in blanks if one.page == page}
            if not missing:
                raise NotTaken(f"{self.code} has no boxes on page {page}.")
            marks = studio.record.marks(self.code)
            if not _marked(marks):
                if len(missing) == len(blanks):
                    raise NotTaken("This sheet has no other page, and it is not marked yet.")
                missing = {one.id: Outcome.RIGHT for one in blanks} | missing
            return self._write(studio, missing, marks)

    def undo(self, studio: OpenStudio) -> Summary:
        """Take back the last step; the record keeps both.

        Raises NotTaken if there is none, or if its boxes were marked elsewhere since.
        """
        with self._lock:
            if not self._steps:
                raise NotTaken("There is nothing to undo.")
            before, after = self._steps[-1]
            now = studio.record.marks(self.code)
            if any(now.get(blank, _UNMARKED) != mark for blank, mark in after.items()):
                self._steps.pop()
                raise NotTaken("These boxes have been marked elsewhere since; nothing was undone.")
            outcomes = {blank: mark.outcome for blank, mark in before.items()}
            given = {blank: mark.given for blank, mark in before.items() if mark.given}
            found = enter(studio, self.code, outcomes, Way.PAGE, given=given)
            self._steps.pop()
            return found

    def _write(
        self, studio: OpenStudio, outcomes: Mapping[str, Outcome], marks: Mapping[str, Mark]
    ) -> Summary:
        """Record what differs from ``marks``, those that are there, as one step.

        What was written in a box is kept: a correction of the outcome does not change it.
        """
        before = {
            blank: marks.get(blank, _UNMARKED)
            for blank, outcome in outcomes.items()
            if marks.get(blank, _UNMARKED).outcome != outcome
        }
        after = {blank: Mark(outcomes[blank], mark.given) for blank, mark in before.items()}
        given = {blank: mark.given for blank, mark in after.items() if mark.given}
        changed = {blank: mark.outcome for blank, mark in after.items()}
        found = enter(studio, self.code, changed, Way.PAGE, given=given)
        if changed:
            self._steps = [*self._steps[-_MOST_STEPS:], (before, after)]
        return found


def _marked(marks: Mapping[str, Mark]) -> bool:
    return any(mark.outcome != Outcome.NOT_MARKED for mark in marks.values())
