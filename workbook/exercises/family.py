"""A family of exercises: its name, what it asks, its settings, how one is made."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from random import Random
from typing import Any, Literal, TypeVar

from workbook.exercises.answers import AnswerKind
from workbook.exercises.blanks import page_order
from workbook.exercises.model import Blank, Event, Exercise, Request, Staff
from workbook.exercises.settings import FORMS, Setting, Settings, form_in
from workbook.music.keys import ALL_KEYS, Key
from workbook.music.naming import Naming

NO_KEY = next(key for key in ALL_KEYS if not key.fifths)
"""Stands where a family that is not keyed has to have a key."""
_BY = {
    "hand": {"right": "right", "left": "left", "both": "both"},
    "clef": {"right": "treble", "left": "bass", "both": "both"},
}


Part = TypeVar("Part", Blank, Event)


@lru_cache(maxsize=4096)
def _shared(part: Part) -> Part:
    """The first part made that equals ``part``, so that equal parts share memory."""
    return part


def _with_shared_events(staff: Staff) -> Staff:
    return replace(staff, events=tuple(map(_shared, staff.events)))


def _no_problem(_settings: Settings, _key: Key, _hand: str) -> str:
    return ""


def _as_asked(settings: Settings, _key: Key, hand: str) -> tuple[Settings, str]:
    return settings, hand


@dataclass(frozen=True)
class Family:
    """A kind of exercise, as its file declares it.

    ``name`` is the file's, with hyphens. ``kinds`` are what a template may ask for,
    ``others`` what else its blanks hold (labels, notes to be written). ``maker`` makes an
    exercise for a request whose settings are complete.

    ``by`` says what a template chooses beside the key: the "hand" that plays, the "clef" to
    be read (treble, bass or both: a request's right, left or both), or "" for neither. With
    settings that have the values of ``no_staff`` there is no clef. ``rule`` takes complete
    settings, a key and a hand and says in a sentence why they do not go together, or "".
    ``settle`` takes the same and returns the settings and hand that take their place where
    the music cannot be set as asked.
    ``about`` is a remark for the README. ``british`` is the title in British words where it
    differs. What is not ``keyed``, such as a rhythm, is the same in every key and is asked in
    none. ``studied`` families stand on study pages; melodies do not, nor does music with
    mistakes in it, or of no key. In music that is ``apart``, each measure has questions of its
    own, so a few of them are enough for an example; without bar lines, each note has. ``gaps`` says
    that which notes are left to be written is what is asked, and no help. ``silent`` are labels
    that say no more than the task, and are not printed.
    """

    name: str
    title: str
    kinds: tuple[AnswerKind, ...]
    settings: Mapping[str, Setting]
    maker: Callable[[Request, Random], Exercise]
    by: Literal["hand", "clef", ""] = "hand"
    rule: Callable[[Settings, Key, str], str] = _no_problem
    settle: Callable[[Settings, Key, str], tuple[Settings, str]] = _as_asked
    others: tuple[AnswerKind, ...] = ()
    british: str = ""
    no_staff: Mapping[str, tuple[Any, ...]] = field(default_factory=dict)
    about: str = ""
    studied: bool = True
    keyed: bool = True
    apart: bool = False
    gaps: bool = False
    silent: tuple[str, ...] = ()

    def title_in(self, naming: Naming) -> str:
        """The title in the words of a page."""
        return self.british if naming.british and self.british else self.title

    @property
    def asks(self) -> tuple[str, ...]:
        """The names of what can be asked, as templates write them."""
        return tuple(kind.name for kind in self.kinds)

    def make(self, request: Request, rng: Random) -> Exercise:
        """The exercise that a request asks for, with its complete settings.

        The same request and state of ``rng`` make the same exercise.
        """
        if not self.keyed:
            request = replace(request, key=NO_KEY)
        settings = self.complete(request.settings)
        if FORMS in settings:
            default = self.settings[FORMS].default
            settings[FORMS] = form_in(request.key, settings[FORMS], default)
        for name, value in settings.items():
            if value is None:
                settings[name] = rng.choice(self.settings[name].values)
        settled, hand = self.settle(settings, request.key, request.hand)
        made = self.maker(replace(request, settings=settled, hand=hand), rng)
        has_form = FORMS in settings and self.settings[FORMS].counts(settings)
        kinds = {kind.name: kind for kind in (*self.kinds, *self.others)}
        return replace(
            made,
            staves=tuple(map(_with_shared_events, made.staves)),
            blanks=tuple(map(_shared, page_order(made.blanks, kinds))),
            family=self.name,
            settings=settled,
            scale_form=settings[FORMS] if has_form else "",
            given=request.given,
            keyed=self.keyed,
        )

    @property
    def settles(self) -> bool:
        """Whether settings or hand may change with the key, where the music needs it."""
        return self.settle is not _as_asked

    @property
    def ruled(self) -> bool:
        """Whether some settings do not go with some key or hand."""
        return self.rule is not _no_problem

    def problem(self, settings: Settings, key: Key, hand: str) -> str:
        """Why settings, one value each, do not go with a key and a hand; "" if they do."""
        return self.problem_of(self.complete(settings), key, hand) if self.ruled else ""

    def problem_of(self, complete: Settings, key: Key, hand: str) -> str:
        """As ``problem``, for complete settings."""
        if not self.ruled:
            return ""
        settled, side = self.settle(complete, key, hand)
        return self.rule(settled, key, side)

    def complete(self, settings: Settings) -> dict[str, Any]:
        """All settings of the family: those given, and the defaults of the others and of
        those that do not count. None stands for one that is left to chance.
        """
        found = {}
        for name, setting in self.settings.items():
            value = settings.get(name)
            found[name] = setting.default if value is None else value
        for name, setting in self._conditional:
            if not setting.counts(found):
                found[name] = setting.default
        return found

    @cached_property
    def _conditional(self) -> list[tuple[str, Setting]]:
        """The settings that do not always count, in their order."""
        return [(name, setting) for name, setting in self.settings.items() if setting.where]

    def skill(self, settings: Settings, hand: str, scale_form: str = "") -> str:
        """A stable name for what an exercise trains, in ASCII, its parts divided by slashes.

        The family; the hand or clef; the form of the scale; then each setting that makes
        another skill, as value and name, unless it has its default. Settings left out are
        their defaults, so ``"scale-fingering/left/harmonic/2 octaves"`` is the harmonic
        minor scale over two octaves in parallel motion, however it was asked for. What is
        asked, how many boxes are filled in and the key are no part of it.
        """
        found = self.complete(settings)
        parts = [self.name]
        if self.by and not self._without_staff(found):
            parts.append(_BY[self.by][hand])
        if FORMS in self.settings and self.settings[FORMS].counts(found):
            parts.append(scale_form or found[FORMS])
        for name, setting in self.settings.items():
            if setting.skill and name != FORMS and found[name] != setting.default:
                parts.append(part_of(name, found[name]))
        return "/".join(parts)

    def _without_staff(self, settings: Settings) -> bool:
        return bool(self.no_staff) and all(
            settings[name] in values for name, values in self.no_staff.items()
        )


def family_of(skill: str) -> str:
    """The name of the family that a skill belongs to (see ``Family.skill``)."""
    return skill.partition("/")[0]


def part_of(name: str, value: object) -> str:
    """The part of a skill's name that gives the value of a setting: ``"2 octaves"``,
    ``"contrary motion"``, ``"harmonic"``, ``"inversions"``, ``"no inversions"``.
    """
    if name == FORMS:
        return str(value)
    if isinstance(value, bool):
        return name if value else f"no {name}"
    return f"{value} {name}"
