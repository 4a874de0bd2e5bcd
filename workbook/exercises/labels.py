"""Labels that are not printed because they add nothing.

In: a label, or the prompt that begins with it. Out: whether it tells more than the clef below it,
or the task.
"""

from __future__ import annotations

from workbook.exercises import wording
from workbook.exercises.families import FAMILIES

_SILENT = {
    *(words.lower() for words in wording.SIDE_WORDS["clef"].values()),
    *(words.lower() for family in FAMILIES.values() for words in family.silent),
}


def says_nothing(label: str) -> bool:
    """Whether a label only repeats the clef below it, or the task."""
    return label.lower() in _SILENT


def prompt_says_nothing(prompt: str) -> bool:
    """Whether the label that a prompt begins with says nothing; the choices may follow it."""
    return says_nothing(prompt.partition(".")[0].partition(":")[0])
