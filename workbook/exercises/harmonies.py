"""Harmonies: progressions that templates write as numerals, for one hand or in four voices.

In: the settings ``numerals``, ``style``, ``start`` and ``fifth`` of a request. Out: the
chords after voice leading, their columns for each hand, their numerals as they sound.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import lru_cache
from random import Random
from typing import Any

from workbook.exercises import answers
from workbook.exercises.model import Request
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.settings import FIFTH, START_POSITION, STYLE, Setting, Settings
from workbook.music.chords import POSITIONS, Harmony, position
from workbook.music.keys import Key
from workbook.music.naming import ENGLISH, Naming
from workbook.music.pitch import Pitch, semitone
from workbook.music.progressions import FULL, SHORT, Step, chords, lead, others
from workbook.music.register import most_lines, places

_NAMED = {"full": " ".join(FULL), "short": " ".join(SHORT)}
_MODES = (Key("C", "major"), Key("C", "minor"))
FIGURED = "Roman numerals with their figures (such as ii6)"
BARE = "Roman numerals without inversion figures (such as ii, V7)"
"""What a task calls numerals: the same examples for all, so that a section shares one task."""
_REACH = 24
"""Half steps from the bass to the lowest note of the right hand, where the voices may spread."""
LINE, WIDE_LINE, WIDE = 7, 6, 3
"""Chords on a line of music, and beside a signature of more than WIDE sharps or flats."""


def numerals(name: str) -> str:
    """The progression that a template names, or writes out."""
    return _NAMED.get(name, name)


def check_numerals(value: object) -> None:
    """Check that a value is "full", "short" or a progression that a major or minor key has.

    Raises ValueError with a line for each thing that is wrong.
    """
    if not isinstance(value, str):
        raise ValueError('write "full", "short" or numerals such as "I vi ii6 V7 I"')
    wrong = []
    for key in _MODES:
        try:
            chords(key, numerals(value))
        except ValueError as error:
            wrong.append(str(error))
    if len(wrong) == len(_MODES):
        raise ValueError(wrong[0])


NUMERALS = Setting(
    ("full", "short", "I vi ii6 V7 I", "I V7/V V7 I"),
    "full",
    about="`full` is I–IV–I–V7–I, `short` is I–V7–I; or any other progression",
    check=check_numerals,
)
_VOICING = {"style": STYLE, "start": START_POSITION, "fifth": FIFTH}


def steps(settings: Settings, key: Key, at: int) -> tuple[Step, ...]:
    """The progression of the settings, led, with the first chord in octave ``at``.

    A family without one of the settings has its default. Raises ValueError as
    ``progressions.lead`` does.
    """
    return _led(settings["numerals"], key, at, *_voicing(settings))


def _voicing(settings: Settings) -> Iterator[Any]:
    return (settings.get(name, setting.default) for name, setting in _VOICING.items())


def _led(named: str, key: Key, at: int, style: str, start: str, fifth: str) -> tuple[Step, ...]:
    return lead(chords(key, numerals(named)), at, style, start, fifth)


@lru_cache(maxsize=4096)
def _unled(named: str, key: Key, style: str, start: str, fifth: str) -> str:
    """Why a progression cannot be led, or ""."""
    try:
        _led(named, key, 4, style, start, fifth)
    except ValueError as error:
        return str(error).replace("\n", "; ")
    return ""


def problem(settings: Settings, key: Key, hand: str) -> str:
    """Why the settings do not go with a key and a hand, or ""."""
    if settings.get("style") == "keyboard" and hand != "both":
        return 'style "keyboard" needs two hands; write hands = "both"'
    return _unled(settings["numerals"], key, *_voicing(settings))


def settle_both(settings: Settings, _key: Key, _hand: str) -> tuple[Settings, str]:
    """Four voices are for both hands, whatever a template says."""
    return settings, "both"


def settle(settings: Settings, key: Key, hand: str) -> tuple[Settings, str]:
    """Keyboard style for both hands in place of close style, where one hand cannot play the
    progression so that it ends as it began and the leading tone and sevenths resolve.
    """
    keyboard = {**settings, "style": "keyboard"}
    if settings["style"] == "keyboard" or not problem(settings, key, hand):
        return settings, hand
    if not problem(keyboard, key, "both"):
        return keyboard, "both"
    return settings, hand


def columns(request: Request, rng: Random) -> tuple[tuple[Step, ...], dict[str, Columns]]:
    """The chords in octave 4, and the columns of each hand in a register that suits its staff."""

    def led(at: int) -> tuple[Step, ...]:
        return steps(request.settings, request.key, at)

    if request.settings.get("style") == "keyboard":
        return led(4), two_hands(request, rng, led)
    return led(4), fit_register(request, lambda at: [step.notes for step in led(at)], rng)


def two_hands(
    request: Request, rng: Random, led: Callable[[int], tuple[Step, ...]]
) -> dict[str, Columns]:
    """Right hand and bass of four voices, each in the octave that suits its staff.

    The bass may go an octave down, if it stays within two octaves of the right hand: no
    interval changes but by octaves, and no voices cross.
    """

    def right(at: int) -> Columns:
        return [step.notes for step in led(at)]

    def bass(at: int) -> Columns:
        return [(step.bass,) for step in led(at) if step.bass]

    def need(at: int, low: int) -> int:
        return max(
            most_lines((p for column in columns for p in column), side)
            for side, columns in (("right", right(at)), ("left", bass(low)))
        )

    def near(at: int, low: int) -> bool:
        return all(
            semitone(hand[0]) - semitone(single) <= _REACH
            for hand, (single,) in zip(right(at), bass(low))
        )

    rights = places("right", right, request.ledger_lines)
    pairs = [(at, low) for at in rights for low in (at, at - 1) if low == at or near(at, low)]
    # one ledger line is usual at either end, and more only where there is no other way
    least = max(min(need(*pair) for pair in pairs), min(request.ledger_lines, 1))
    at, low = rng.choice([pair for pair in pairs if need(*pair) <= least])
    return {"right": right(at), "left": bass(low)}


def other_hands(
    answer: str, line: tuple[Harmony, ...], start: str, number: int, naming: Naming
) -> tuple[str, ...]:
    """The notes of other right hands that the rules of keyboard style allow for a chord of a
    progression beside those of ``answer``, each set once.
    """
    found = {tuple(sorted(answer.split())): ""}
    for notes in others(line, number, start):
        names = [naming.note(p) for p in notes]
        found.setdefault(tuple(sorted(names)), " ".join(names))
    return tuple(sorted(filter(None, found.values())))


def sounding(step: Step) -> Harmony:
    """The chord in the inversion that its lowest note makes."""
    low = step.bass or step.notes[0]
    inversion = POSITIONS.index(position((low,), step.harmony.root(4)))
    return replace(step.harmony, inversion=inversion)


def other_numerals(chord: Harmony, naming: Naming) -> tuple[str, ...]:
    """Other ways to write a chord's numeral; in British words also with a letter."""
    return chord.other_numerals + (chord.lettered_numerals if naming.british else ())


def numeral_answers(
    line: tuple[Step, ...], naming: Naming = ENGLISH
) -> list[tuple[str, tuple[str, ...]]]:
    """The numeral of each chord, and others to accept.

    If the progression names an inversion, every numeral has the figures of what sounds;
    if not, none has them, but they are accepted.
    """
    figured = any(step.harmony.inversion for step in line)
    found = []
    for step in line:
        heard = sounding(step)
        also = [heard.numeral, *other_numerals(heard, naming), *heard.root_position.other_numerals]
        main = heard.numeral if figured else heard.root_position.numeral
        if figured:
            also = list(other_numerals(heard, naming))
        found.append((main, tuple(name for name in dict.fromkeys(also) if name != main)))
    return found


def numeral_words(line: tuple[Step, ...]) -> str:
    """What a task calls the numerals of ``numeral_answers``: with or without figures."""
    heard = [sounding(step) for step in line]
    if any(chord.inversion for chord in heard):
        return FIGURED if any(step.harmony.inversion for step in line) else BARE
    figures = any(chord.kind.seventh or chord.target for chord in heard)
    return FIGURED if figures else answers.NUMERALS


def name_answers(line: tuple[Step, ...], naming: Naming) -> list[tuple[str, tuple[str, ...]]]:
    """The name of each chord, and others to accept, such as with the bass of an inversion."""
    found = []
    for step in line:
        heard = sounding(step)
        main = heard.symbol(naming.note)
        also = [*heard.other_symbols(naming.note), heard.symbol(naming.note, bass=True)]
        found.append((main, tuple(name for name in dict.fromkeys(also) if name != main)))
    return found


def bars(count: int, key: Key) -> dict[int, str]:
    """A bar line after each chord, and lines of equal length where there are many."""
    found = dict.fromkeys(range(count - 1), "|")
    lines = -(-count // (WIDE_LINE if abs(key.fifths) > WIDE else LINE))
    found |= {count * line // lines - 1: "break" for line in range(1, lines)}
    return found | {count - 1: "|."}


def all_notes(sides: dict[str, Columns], column: int) -> tuple[Pitch, ...]:
    """What both hands play in a column, low to high."""
    return tuple(p for side in reversed(sides) for p in sides[side][column])


def block(chord: Harmony, at: int) -> Columns:
    """One column with the chord in close position."""
    return [chord.close(at)]
