"""One sheet marked by its wrong boxes, line by line.

In: lines of the short notation (see ``marking.wrong_boxes``). Out: marks, each line in the
record before the next is asked for.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from workbook.marking.outcome import Outcome
from workbook.marking.wrong_boxes import NotUnderstood, all_but, read_boxes, read_wrong
from workbook.studio_record.model import Mark, SheetState, Way
from workbook.weeks.marks import Summary, enter, summary
from workbook.weeks.studios import OpenStudio
from workbook.weeks.wording import sheet_naming

_NOT_RIGHT = (Outcome.WRONG, Outcome.EMPTY)


class Session:
    """The marking of one sheet. Raises RecordError if the key code is not known."""

    def __init__(self, studio: OpenStudio, code: str, who: str = ""):
        self._studio, self.code, self._who = studio, code, who
        self.workbook = studio.record.workbook(code)
        self.sheet = studio.record.sheet(code)
        self.naming = sheet_naming(studio, code)
        self.asked: list[int] = []
        """The exercises whose wrong boxes are still to be asked for."""
        self._before: list[dict[str, Mark]] = []

    @property
    def marked(self) -> bool:
        """Whether any box of the sheet has been marked."""
        return bool(self._studio.record.marks(self.code))

    def outcomes(self) -> dict[str, Outcome]:
        """The present outcomes, by blank id."""
        return {name: mark.outcome for name, mark in self._studio.record.marks(self.code).items()}

    def summary(self) -> Summary:
        """What is recorded of the sheet now."""
        return summary(self._studio, self.code)

    def all_but(self, wrong: str, empty: str, later: str) -> list[str]:
        """Mark the whole sheet: everything that is not named is right.

        ``later`` has the numbers of missing pages. If only boxes that are right after all are
        named on a marked sheet, its other marks stay. Returns the unnamed boxes that were wrong or
        empty and are now right. Raises NotUnderstood; nothing is marked then.
        """
        named = read_wrong(wrong, self.workbook)
        left_empty = read_wrong(empty, self.workbook, Outcome.EMPTY)
        if asked := (*named.asked, *left_empty.asked):
            raise NotUnderstood(f"{asked[0]}*: name the boxes, such as {asked[0]}.1-4")
        if twice := named.outcomes.keys() & left_empty.outcomes.keys():
            raise NotUnderstood(f"box {min(twice)} is named as both wrong and empty")
        both, before = {**named.outcomes, **left_empty.outcomes}, self.outcomes()
        pages = self._pages(later)
        if before and both and not pages and set(both.values()) == {Outcome.RIGHT}:
            self._write(both)
            return []
        after = all_but(self.workbook, both, pages)
        self._write(after)
        return [
            name
            for name, outcome in after.items()
            if name not in both and outcome == Outcome.RIGHT and before.get(name) in _NOT_RIGHT
        ]

    def line(self, typed: str, *, whole: bool) -> list[int]:
        """Record a line as it was typed; returns the numbers of the exercises it names.

        With ``whole``, boxes that it does not name are right. Exercises with a star become
        ``asked``. Raises NotUnderstood; nothing is marked then.
        """
        words, _, later = typed.partition("later")
        found = read_wrong(words, self.workbook)
        missing = self._pages(later)
        outcomes = (
            all_but(self.workbook, found.outcomes, missing) if whole else dict(found.outcomes)
        )
        stars = [item for item in self.workbook.items if item.number in found.asked]
        outcomes |= {blank.id: Outcome.NOT_MARKED for item in stars for blank in item.blanks}
        if not whole:
            outcomes |= {
                blank.id: Outcome.NOT_MARKED
                for blank in self.workbook.blanks
                if blank.page in missing
            }
        self._write(outcomes)
        self.asked = list(found.asked)
        return [
            item.number
            for item in self.workbook.items
            if item.number not in found.asked and any(b.id in found.outcomes for b in item.blanks)
        ]

    def boxes(self, number: int, typed: str) -> None:
        """Record the wrong boxes of an exercise that was ``asked`` about.

        Boxes before a dash are empty: ``"2 5-"``. ``later`` leaves it unmarked. Raises
        NotUnderstood; nothing is marked then.
        """
        item = next(item for item in self.workbook.items if item.number == number)
        if typed.strip().casefold() != "later":
            outcomes = {blank.id: Outcome.RIGHT for blank in item.blanks}
            for word in re.split(r"[\s;]+", typed.strip()):
                empty = word.endswith(("-", "–"))
                for name in read_boxes(word.rstrip("-–"), item):
                    outcomes[name] = Outcome.EMPTY if empty else Outcome.WRONG
            self._write(outcomes)
        self.asked.remove(number)

    def undo(self) -> None:
        """Take back the last line; the record keeps both. Raises NotUnderstood if there is none."""
        if not self._before:
            raise NotUnderstood("there is nothing to undo")
        before = self._before.pop()
        now = self._studio.record.marks(self.code)
        back = {name: before.get(name, Mark(Outcome.NOT_MARKED)) for name in now}
        self._studio.record.mark(self.code, back, Way.TYPED, who=self._who)

    def not_handed_in(self) -> None:
        """Note that the sheet did not come back."""
        self._studio.record.tell(self.code, SheetState.NOT_HANDED_IN)

    def _write(self, outcomes: Mapping[str, Outcome]) -> None:
        self._before.append(self._studio.record.marks(self.code))
        enter(self._studio, self.code, outcomes, Way.TYPED, who=self._who)

    def _pages(self, text: str) -> list[int]:
        last = max((blank.page for blank in self.workbook.blanks), default=0)
        pages = []
        for word in re.split(r"[\s,;]+", text.strip()):
            if word and not (word.isdecimal() and 1 <= int(word) <= last):
                raise NotUnderstood(f"there is no page {word}; the sheet has pages 1 to {last}")
            if word:
                pages.append(int(word))
        return pages
