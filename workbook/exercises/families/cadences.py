"""Cadences: pairs of chords to be named authentic, half, plagal or deceptive."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from random import Random

from workbook.exercises import harmonies, wording
from workbook.exercises.answers import CADENCE, NUMERAL
from workbook.exercises.blanks import give, in_order
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.registers import Columns, fit_each_register
from workbook.exercises.settings import Setting, Settings
from workbook.exercises.staves import printed_staves
from workbook.music.cadences import (
    CADENCES,
    abbreviation,
    cadence,
    closes,
    other_names,
    printed_name,
)
from workbook.music.keys import Key
from workbook.music.naming import Naming
from workbook.music.progressions import STARTS, Step, chords, lead

PAIRS = {
    "authentic": ("V I", "V7 I"),
    "half": ("I V", "IV V", "ii6 V"),
    "plagal": ("IV I",),
    "deceptive": ("V vi", "V7 vi"),
}
"""What the last two chords may be; the name of the cadence is still found from them."""
ONE_HAND = PAIRS | {"deceptive": ("V7 vi",)}
"""The same for one hand, where V can go to vi only with all of its voices upwards."""
INVERTED = ("V6 I", "vii°6 I")
"""Imperfect authentic cadences beside those of ``PAIRS`` that end on another note on top."""
KINDS = {
    "all": CADENCES,
    "authentic and half": ("authentic", "half"),
    "without deceptive": ("authentic", "half", "plagal"),
    "PAC IAC HC": ("PAC", "IAC", "HC"),
}
"""The cadences of each value of the setting. Abbreviated, authentic ones are perfect or
imperfect."""
COUNT = 4
WIDE = 3
"""Sharps or flats of a signature that leaves room for all the pairs on one line of music."""

Led = Callable[[int], tuple[Step, ...]]


def _choose(request: Request, rng: Random) -> list[Led]:
    """Four pairs of three or four kinds, so that none can be found by elimination, and no two
    the same.
    """
    names = KINDS[request.settings["kinds"]]
    kinds = rng.sample(names, len(names))
    kinds += rng.choices(names, k=COUNT - len(kinds))
    if len(names) == COUNT:
        kinds[rng.randrange(COUNT)] = rng.choice(names)
    rng.shuffle(kinds)
    style = "keyboard" if request.hand == "both" else "close"
    pairs = PAIRS if style == "keyboard" else ONE_HAND
    found: list[Led] = []
    for kind in kinds:
        ways = (
            _closing(request.key, kind, rng)
            if kind.isupper()
            else _ways(request.key, pairs[kind], style, rng)
        )
        found.append(next((led for led in ways if led(4) not in [o(4) for o in found]), ways[0]))
    return found


def _closing(key: Key, kind: str, rng: Random) -> list[Led]:
    """The pairs that make a half cadence, or an authentic one, perfect or imperfect."""
    if kind == "HC":
        return _ways(key, PAIRS["half"], "keyboard", rng)
    wanted = {"PAC": "perfect", "IAC": "imperfect"}[kind]
    pairs = PAIRS["authentic"] + (INVERTED if kind == "IAC" else ())
    return [led for led in _ways(key, pairs, "keyboard", rng) if _closes(*led(4)) == wanted]


def _ways(key: Key, pairs: Sequence[str], style: str, rng: Random) -> list[Led]:
    """The pairs led from each position that the rules let them start from, the pairs in turn."""
    found: list[Led] = []
    for start in rng.sample(STARTS, len(STARTS)):
        for pair in rng.sample(pairs, len(pairs)):
            led = partial(lead, chords(key, pair), style=style, start=start)
            try:
                led(4)
            except ValueError:
                continue
            found.append(led)
    return found


def _columns(request: Request, chosen: list[Led], rng: Random) -> dict[str, Columns]:
    if request.hand != "both":
        return fit_each_register(request, [partial(_notes, led) for led in chosen], rng)
    pairs = [harmonies.two_hands(request, rng, led) for led in chosen]
    return {side: [column for pair in pairs for column in pair[side]] for side in pairs[0]}


def _notes(led: Led, at: int) -> Columns:
    return [step.notes for step in led(at)]


def _make(request: Request, rng: Random) -> Exercise:
    chosen = _choose(request, rng)
    line = [step for led in chosen for step in led(4)]
    sides = _columns(request, chosen, rng)
    first = next(iter(sides))
    blanks = [
        Blank(
            "numeral",
            first,
            column,
            None,
            harmonies.all_notes(sides, column),
            *_numeral(step, request.naming),
        )
        for column, step in enumerate(line)
    ]
    for number in range(COUNT):
        before, last = line[2 * number : 2 * number + 2]
        of = harmonies.all_notes(sides, 2 * number) + harmonies.all_notes(sides, 2 * number + 1)
        blanks.append(
            Blank("cadence", first, 2 * number + 1, None, of, *_names(before, last, request))
        )
    kinds = KINDS[request.settings["kinds"]]
    words = [printed_name(name, request.naming.british) for name in kinds]
    listed = ", ".join(words[:-1]) + " or " + words[-1]
    numerals = f"Write the {harmonies.BARE}. " if "numeral" in request.ask else ""
    name = f"Name each cadence: {listed}." if "cadence" in request.ask else ""
    bars = dict.fromkeys(range(1, 2 * COUNT - 1, 2), "||")
    if abs(request.key.fifths) > WIDE:
        bars[COUNT - 1] = "break"
    return Exercise(
        request.key,
        request.hand,
        (numerals + name).strip(),
        wording.label(request, by="clef"),
        printed_staves(sides, "1", bars | {2 * COUNT - 1: "|."}),
        give(in_order(blanks, request.ask), request.given, rng),
    )


def _names(before: Step, last: Step, request: Request) -> tuple[str, tuple[str, ...]]:
    """The name of a cadence, and other names to accept."""
    name, british = cadence(before.harmony, last.harmony), request.naming.british
    if name is None:
        raise ValueError("the last two chords make no cadence")
    close = _closes(before, last) if name == "authentic" else ""
    if "PAC" in KINDS[request.settings["kinds"]]:
        return abbreviation(name, close)
    return printed_name(name, british), other_names(name, british, close)


def _closes(before: Step, last: Step) -> str:
    """What an authentic cadence may be called, perfect or imperfect.

    The bass is the lowest note, in one hand, too.
    """
    return closes(harmonies.sounding(before), harmonies.sounding(last), last.notes[-1])


def _numeral(step: Step, naming: Naming) -> tuple[str, tuple[str, ...]]:
    """The numeral without figures; with them it is accepted too."""
    heard = harmonies.sounding(step)
    main = heard.root_position.numeral
    also = (
        step.harmony.numeral,
        heard.numeral,
        *harmonies.other_numerals(heard, naming),
        *heard.root_position.other_numerals,
    )
    return main, tuple(name for name in dict.fromkeys(also) if name != main)


def _settle(settings: Settings, _key: Key, hand: str) -> tuple[Settings, str]:
    """Perfect and imperfect cadences have a bass of their own."""
    return settings, "both" if settings["kinds"] == "PAC IAC HC" else hand


FAMILY = Family(
    name="cadences",
    title="Cadences",
    kinds=(NUMERAL, CADENCE),
    settings={
        "kinds": Setting(
            tuple(KINDS),
            "all",
            skill=True,
            about="of cadences; `PAC IAC HC` tells perfect authentic ones from imperfect ones, and "
            "has two staves",
        ),
    },
    maker=_make,
    settle=_settle,
    by="clef",
)
