"""Settings: what a template may choose about a family besides key, hand and blanks."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from workbook.music import scales
from workbook.music.keys import Key
from workbook.music.progressions import STARTS
from workbook.music.voicings import STYLES

Settings = Mapping[str, Any]
"""One value for each setting, by its name."""
FORMS = "forms"
"""The setting that chooses the form of a scale."""


@dataclass(frozen=True)
class Setting:
    """The values of a setting and the one that holds where a template is silent.

    A ``default`` of None leaves the choice to the exercise's random source. ``skill`` marks
    a setting that makes the exercise another thing to know. ``about`` explains it in the
    README and at the desk. It counts only ``where`` each setting named there has one of the
    values given.

    With ``check``, teachers word the value themselves and ``values`` are examples; ``check``
    raises ValueError with a line for each thing that is wrong.
    """

    values: tuple[Any, ...]
    default: Any
    skill: bool = False
    about: str = ""
    where: Mapping[str, tuple[Any, ...]] = field(default_factory=dict)
    check: Callable[[object], None] | None = None

    def __iter__(self) -> Iterator[Any]:
        return iter(self.values)

    def counts(self, settings: Settings) -> bool:
        """Whether the setting makes a difference beside the other ``settings``."""
        return all(settings[name] in values for name, values in self.where.items())


SCALE_FORM = Setting(
    ("major", *scales.MINOR_FORMS),
    "harmonic",
    skill=True,
    about="the form of the scale; a major key is always major",
)
SIGNATURE = Setting(
    ("accidentals", "printed"),
    "accidentals",
    skill=True,
    about="whether each note has its own accidental or the key signature is printed",
)
START_DEGREE = Setting((1, 2, 3, 4, 5, 6, 7), 1, about="the degree that the scale starts on")
START_POSITION = Setting(
    STARTS,
    "root",
    about="the position of the first chord; in one hand, figures such as ii6 may need another",
)
STYLE = Setting(
    STYLES,
    "close",
    skill=True,
    about="`close` puts the chord in one hand, and what one hand cannot play becomes "
    "`keyboard`: four voices with the bass in the left hand, which needs both hands",
)
FIFTH = Setting((False, True), False, about="whether V7 has its fifth")


def form_in(key: Key, asked: str, default: str) -> str:
    """The form of scale asked for, or ``default``, whichever the key has first.

    >>> form_in(Key("C", "major"), "melodic", "harmonic")
    'major'
    """
    own = scales.scale_forms(key)
    return next((form for form in (asked, default) if form in own), own[0])


def skilled(setting: Setting) -> Setting:
    """The same setting where its values are skills of their own."""
    return replace(setting, skill=True)
