"""The plan of a workbook: sections of numbered items, before anything is engraved. Pure data."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from workbook.exercises.model import Exercise
from workbook.marking import spellings
from workbook.studio.roster import Row


@dataclass(frozen=True)
class Item:
    """One numbered exercise and its points."""

    number: int
    exercise: Exercise
    points: int


@dataclass(frozen=True)
class PlannedSection:
    """A section of the workbook: letter, title, items."""

    letter: str
    title: str
    items: tuple[Item, ...]

    @property
    def points(self) -> int:
        return sum(item.points for item in self.items)


@dataclass(frozen=True)
class Plan:
    """A workbook before it is engraved; its row's title is never empty.

    ``code`` is the key code of its pages; ``form`` a letter where there are several.
    """

    row: Row
    seed: str
    sections: tuple[PlannedSection, ...]
    code: str
    form: str = ""

    @property
    def title(self) -> str:
        """The row's title, with the form's letter if it has one."""
        return f"{self.row.title}, form {self.form}" if self.form else self.row.title

    @cached_property
    def spellings(self) -> list[str]:
        """Other spellings of the answers in each section (see ``marking.spellings``)."""
        return spellings.spellings(
            (one for item in section.items for one in item.exercise.once(spellings.spelled))
            for section in self.sections
        )

    @cached_property
    def items(self) -> tuple[Item, ...]:
        return tuple(item for section in self.sections for item in section.items)

    @property
    def points(self) -> int:
        return sum(section.points for section in self.sections)
