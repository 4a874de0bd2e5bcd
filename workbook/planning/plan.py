"""The plan of a workbook: its sections of numbered items before engraving. Pure data."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from workbook.exercises.model import Exercise, Once
from workbook.marking.spellings import Spelling, spelled, spellings
from workbook.studio.roster import Row


@dataclass(frozen=True)
class Item:
    """One numbered exercise and its points."""

    number: int
    exercise: Exercise
    points: int


@dataclass(frozen=True)
class PlannedSection(Once):
    """A section of a workbook: letter, title, items.

    ``example`` is a worked exercise at its head; it is not an item, and its number is below 0.
    """

    letter: str
    title: str
    items: tuple[Item, ...]
    example: Item | None = None

    @property
    def points(self) -> int:
        return sum(item.points for item in self.items)


@dataclass(frozen=True)
class Repeats:
    """What a workbook could not avoid repeating.

    ``shared`` counts the exercises that an earlier form has as well; ``sections`` those of each
    section, by letter, that occur earlier in the same workbook; ``had`` those that the student had
    on an earlier sheet.
    """

    shared: int = 0
    sections: tuple[tuple[str, int], ...] = ()
    had: int = 0


NO_REPEATS = Repeats()


@dataclass(frozen=True)
class Plan(Once):
    """A workbook before engraving. The title of its row is never empty.

    ``code`` is the key code on its pages. ``form`` is the letter of a parallel form, or "" if
    there is only one. ``weekly`` marks a week's sheet, which has no table of scores;
    ``left_out`` counts the exercises that did not fit on its pages.
    """

    row: Row
    seed: str
    sections: tuple[PlannedSection, ...]
    code: str
    form: str = ""
    weekly: bool = False
    repeats: Repeats = NO_REPEATS
    left_out: int = 0

    @property
    def title(self) -> str:
        """The row's title, with the form's letter if it has one."""
        return f"{self.row.title}, form {self.form}" if self.form else self.row.title

    @property
    def spellings(self) -> list[Spelling]:
        """What else to accept in this workbook, one example of each sort."""
        return spellings(one for item in self.items for one in item.exercise.once(spelled))

    @cached_property
    def items(self) -> tuple[Item, ...]:
        return tuple(item for section in self.sections for item in section.items)

    @cached_property
    def drawn(self) -> tuple[Item, ...]:
        """Everything that is engraved: the items and the worked examples."""
        return self.items + tuple(part.example for part in self.sections if part.example)

    @property
    def points(self) -> int:
        return sum(section.points for section in self.sections)
