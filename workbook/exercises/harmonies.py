"""What families of progressions share: numerals in a template, staves in two styles.

In: the settings ``numerals``, ``style``, ``start`` and ``fifth`` of a request.
Out: the chords led, their columns for each hand, their numerals as they sound.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random

from workbook.exercises import common
from workbook.exercises.model import Request, Typed
from workbook.music.chords import Harmony, position
from workbook.music.keys import Key
from workbook.music.naming import Naming
from workbook.music.pitch import Pitch
from workbook.music.progressions import FULL, SHORT, STARTS, Step, chords, lead
from workbook.music.register import ledger_lines, octaves
from workbook.music.voicings import STYLES

_NAMED = {"full": " ".join(FULL), "short": " ".join(SHORT)}
_MODES = (Key("C", "major"), Key("C", "minor"))
FIGURED = "Roman numerals with their figures (such as ii6)"
BARE = "Roman numerals without inversion figures (such as ii, V7)"
"""What a task calls numerals; one example for all, so that a section's exercises share it."""
LINE, WIDE_LINE, WIDE = 7, 6, 3
"""Chords on a line of music, and beside a signature of more than WIDE accidentals."""


def numerals(settings: dict) -> str:
    """The progression of the settings, written out."""
    text = settings.get("numerals", "full")
    return _NAMED.get(text, text)


def check_numerals(value: object) -> None:
    """Refuse what is neither "full", "short" nor a progression that a key of one of the
    modes has. Raises ValueError with a line for each thing wrong.
    """
    if not isinstance(value, str):
        raise ValueError('write "full", "short" or numerals such as "I vi ii6 V7 I"')
    wrong = []
    for key in _MODES:
        try:
            chords(key, numerals({"numerals": value}))
        except ValueError as error:
            wrong.append(str(error))
    if len(wrong) == len(_MODES):
        raise ValueError(wrong[0])


NUMERALS = Typed(("full", "short", "I vi ii6 V7 I", "I V7/V V7 I"), check_numerals)
STYLE = {"style": STYLES, "start": STARTS, "fifth": (False, True)}
"""The settings of voice leading; ``fifth`` is that of V7."""


def steps(settings: dict, key: Key, at: int) -> tuple[Step, ...]:
    """The progression of the settings, led. Raises ValueError as ``progressions.lead``."""
    return lead(
        chords(key, numerals(settings)),
        at,
        settings.get("style", "close"),
        settings.get("start", "root"),
        settings.get("fifth", False),
    )


def problem(settings: dict, key: Key, hand: str) -> str:
    """Why the settings do not go with a key and a hand, or ""."""
    if settings.get("style") == "keyboard" and hand != "both":
        return 'style "keyboard" needs two hands; write hands = "both"'
    try:
        steps(settings, key, 4)
    except ValueError as error:
        return str(error).replace("\n", "; ")
    return ""


def place(request: Request, rng: Random) -> tuple[tuple[Step, ...], dict[str, common.Columns]]:
    """The chords, and the columns of each hand in a register that suits its staff."""

    def led(at: int) -> tuple[Step, ...]:
        return steps(request.settings, request.key, at)

    if request.settings.get("style") == "keyboard":
        return led(4), two_hands(request, rng, led)
    return led(4), common.place(request, lambda at: [step.notes for step in led(at)], rng)


def two_hands(
    request: Request, rng: Random, led: Callable[[int], tuple[Step, ...]]
) -> dict[str, common.Columns]:
    """Right hand and bass of four voices, each in the octave that suits its staff.

    The bass may go down by octaves, which keeps every interval's kind and
    crosses nothing.
    """

    def need(at: int, low: int) -> int:
        return max(
            [ledger_lines(p, "right") for step in led(at) for p in step.notes]
            + [ledger_lines(step.bass, "left") for step in led(low)]
        )

    rights = octaves(
        "right", lambda at: (p for step in led(at) for p in step.notes), request.ledger_lines
    )
    pairs = [(at, low) for at in rights for low in (at, at - 1)]
    # One ledger line is usual at either end; more only where there is no other way.
    least = max(min(need(*pair) for pair in pairs), min(request.ledger_lines, 1))
    at, low = rng.choice([pair for pair in pairs if need(*pair) <= least])
    return {"right": [step.notes for step in led(at)], "left": [(step.bass,) for step in led(low)]}


def sounding(step: Step) -> Harmony:
    """The chord with the inversion that its lowest note makes."""
    low = step.bass or step.notes[0]
    places = ("root", "1st", "2nd", "3rd")
    return replace(step.harmony, inversion=places.index(position((low,), step.harmony.root(4))))


def numeral_answers(line: tuple[Step, ...]) -> list[tuple[str, tuple[str, ...]]]:
    """Numeral and accepted others of each chord.

    If the progression names an inversion, every numeral has the figures of what
    sounds; else none has, but they are accepted.
    """
    figured = any(step.harmony.inversion for step in line)
    found = []
    for step in line:
        heard = sounding(step)
        also = [heard.numeral, *heard.other_numerals, *heard.root_position.other_numerals]
        main = heard.numeral if figured else heard.root_position.numeral
        if figured:
            also = list(heard.other_numerals)
        found.append((main, tuple(name for name in dict.fromkeys(also) if name != main)))
    return found


def numeral_words(line: tuple[Step, ...]) -> str:
    """What a task calls the numerals of ``numeral_answers``: with or without figures."""
    heard = [sounding(step) for step in line]
    if any(chord.inversion for chord in heard):
        return FIGURED if any(step.harmony.inversion for step in line) else BARE
    figures = any(chord.kind.seventh or chord.target for chord in heard)
    return FIGURED if figures else common.NUMERALS


def name_answers(line: tuple[Step, ...], naming: Naming) -> list[tuple[str, tuple[str, ...]]]:
    """Chord name and accepted others; the bass note of an inversion may be added."""
    found = []
    for step in line:
        heard = sounding(step)
        main = heard.symbol(naming.note)
        also = [*heard.other_symbols(naming.note), heard.symbol(naming.note, bass=True)]
        found.append((main, tuple(name for name in dict.fromkeys(also) if name != main)))
    return found


def bars(count: int, key: Key) -> dict[int, str]:
    """A bar line after each chord, and even lines of music where there are many."""
    found = dict.fromkeys(range(count - 1), "|")
    lines = -(-count // (WIDE_LINE if abs(key.fifths) > WIDE else LINE))
    found |= {count * line // lines - 1: "break" for line in range(1, lines)}
    return found | {count - 1: "|."}


def all_notes(sides: dict[str, common.Columns], column: int) -> tuple[Pitch, ...]:
    """What both hands have in a column, low to high."""
    return tuple(p for side in reversed(sides) for p in sides[side][column])
