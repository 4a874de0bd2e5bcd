"""The settings of a build, for every row that has none of its own: paper, size, note names, forms.

In: plain values, as a teacher or a program gives them. Out: one frozen value that is
known to be right.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from pathlib import Path

from workbook.inputs.messages import any_of, quoted

PAPERS = ("letter", "a4", "half-letter", "a5")
SIZES = ("normal", "large", "extra-large")
LETTERS = ("english", "german", "italian", "french", "spanish")
STEPS = ("half step", "semitone")
RULES = ("share", "one off", "all or nothing")
"""How the boxes of an exercise become points (see ``marking.points``)."""
MOST_FORMS = 26
"""Forms are lettered A to Z."""
MOST_PAGES = 20
"""The most pages of a week's sheet."""

CHOICES = {"paper": PAPERS, "size": SIZES, "letters": LETTERS, "steps": STEPS}
"""The settings that are one of a few words; a row of the roster may have its own."""
_EVERY_CHOICE = {**CHOICES, "marking": RULES}


@dataclass(frozen=True)
class BuildSettings:
    """How the workbooks of a build look and which words they use.

    ``paper``, ``size``, ``letters``, ``steps`` and ``marking`` are names in PAPERS, SIZES,
    LETTERS, STEPS and RULES, in upper or lower case. ``punch`` leaves a wider margin at
    the binding; ``grey`` prints the answers black; ``fillable`` adds a form to fill in on a
    screen; ``exam`` leaves out help and hints. ``forms`` is the number of parallel versions
    for each row, 1 to MOST_FORMS. ``letters``, ``steps`` and ``marking`` override the words
    and the marking rule of the templates, which None leaves as they are. ``pages`` makes weekly
    sheets of so many pages, 1 to MOST_PAGES; None leaves it to the templates. ``fingering`` is a
    file of the teacher's own fingerings, ``template_dir`` a folder of the teacher's own
    templates; None for the built-in ones alone. Raises ValueError with a sentence if a value
    is wrong.

    >>> BuildSettings(paper="A4", size="large").paper
    'a4'
    >>> BuildSettings(paper="a6")
    Traceback (most recent call last):
    ValueError: paper cannot be "a6"; write "letter", "a4", "half-letter" or "a5"
    """

    paper: str = "letter"
    size: str = "normal"
    punch: bool = False
    grey: bool = False
    fillable: bool = False
    letters: str | None = None
    steps: str | None = None
    forms: int = 1
    fingering: Path | str | None = None
    template_dir: Path | str | None = None
    marking: str | None = None
    exam: bool = False
    pages: int | None = None

    def __post_init__(self) -> None:
        optional = {field.name for field in fields(self) if field.default is None}
        for name, allowed in _EVERY_CHOICE.items():
            value = getattr(self, name)
            if value is None and name in optional:
                continue
            chosen = value.casefold() if isinstance(value, str) else value
            if chosen not in allowed:
                raise ValueError(_cannot_be(name, value, any_of([quoted(one) for one in allowed])))
            object.__setattr__(self, name, chosen)
        for name in ("punch", "grey", "fillable", "exam"):
            if not isinstance(getattr(self, name), bool):
                raise ValueError(_cannot_be(name, getattr(self, name), "True or False"))
        if type(self.forms) is not int or not 1 <= self.forms <= MOST_FORMS:
            right = f"a whole number from 1 to {MOST_FORMS}"
            raise ValueError(_cannot_be("forms", self.forms, right))
        if self.pages is not None and (
            type(self.pages) is not int or not 1 <= self.pages <= MOST_PAGES
        ):
            right = f"a whole number from 1 to {MOST_PAGES}"
            raise ValueError(_cannot_be("pages", self.pages, right))
        for name in ("fingering", "template_dir"):
            if not isinstance(getattr(self, name), Path | str | None):
                raise ValueError(_cannot_be(name, getattr(self, name), "a path"))


def _cannot_be(name: str, value: object, right: str) -> str:
    return f"{name} cannot be {quoted(value)}; write {right}"
