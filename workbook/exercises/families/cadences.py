"""Cadences: pairs of chords to be named authentic, half, plagal or deceptive."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from random import Random

from workbook.exercises import common, harmonies
from workbook.exercises.model import Blank, Exercise, Family, Request, give
from workbook.music.cadences import CADENCES, OTHER_NAMES, cadence
from workbook.music.keys import Key
from workbook.music.naming import Naming
from workbook.music.progressions import STARTS, Step, chords, lead

PAIRS = {
    "authentic": ("V I", "V7 I"),
    "half": ("I V", "IV V", "ii6 V"),
    "plagal": ("IV I",),
    "deceptive": ("V vi", "V7 vi"),
}
"""What the last two chords may be; the name is derived from them all the same."""
COUNT = 4
WIDE = 3
"""Accidentals of a signature beside which one line of music holds all the pairs."""


Led = Callable[[int], tuple[Step, ...]]


def _choose(request: Request, rng: Random) -> list[Led]:
    """Four pairs, of three or four kinds, so that none is found by elimination."""
    kinds = rng.sample(CADENCES, len(CADENCES))
    kinds[rng.randrange(COUNT)] = rng.choice(CADENCES)
    style = "keyboard" if request.hand == "both" else "close"
    return [_lead(request.key, rng.choice(PAIRS[kind]), style, rng) for kind in kinds]


def _lead(key: Key, pair: str, style: str, rng: Random) -> Led:
    """A pair led from one of the positions from which the rules let it go on."""
    for start in rng.sample(STARTS, len(STARTS)):
        led = partial(lead, chords(key, pair), style=style, start=start)
        try:
            led(4)
        except ValueError:
            continue
        return led
    raise ValueError(f"{pair} cannot be led in {key}")


def _place(request: Request, chosen: list[Led], rng: Random) -> dict[str, common.Columns]:
    if request.hand != "both":
        return common.place_each(
            request, [lambda at, led=led: [step.notes for step in led(at)] for led in chosen], rng
        )
    pairs = [harmonies.two_hands(request, rng, led) for led in chosen]
    return {side: [column for pair in pairs for column in pair[side]] for side in pairs[0]}


def make(request: Request, rng: Random) -> Exercise:
    chosen = _choose(request, rng)
    line = [step for led in chosen for step in led(4)]
    sides = _place(request, chosen, rng)
    first = next(iter(sides))
    blanks = [
        Blank("numeral", first, column, None, harmonies.all_notes(sides, column), *_numeral(step))
        for column, step in enumerate(line)
    ]
    for number in range(COUNT):
        name = cadence(line[2 * number].harmony, line[2 * number + 1].harmony)
        of = harmonies.all_notes(sides, 2 * number) + harmonies.all_notes(sides, 2 * number + 1)
        blanks.append(
            Blank("cadence", first, 2 * number + 1, None, of, *_names(name, request.naming))
        )
    words = [request.naming.cadence(name) for name in CADENCES]
    listed = ", ".join(words[:-1]) + " or " + words[-1]
    numerals = f"Write the {harmonies.BARE}. " if "numeral" in request.ask else ""
    name = f"Name each cadence: {listed}." if "cadence" in request.ask else ""
    bars = dict.fromkeys(range(1, 2 * COUNT - 1, 2), "||")
    if abs(request.key.fifths) > WIDE:
        bars[COUNT - 1] = "break"
    return Exercise(
        "cadences",
        request.key,
        request.hand,
        (numerals + name).strip(),
        common.label(request, by="clef"),
        common.staves(sides, "1", bars | {2 * COUNT - 1: "|."}),
        give(common.in_order(blanks, request.ask), request.given, rng),
    )


def _names(cadence: str, naming: Naming) -> tuple[str, tuple[str, ...]]:
    """The cadence's name and others to accept."""
    main = naming.cadence(cadence)
    return main, tuple(name for name in (cadence, *OTHER_NAMES[cadence]) if name != main)


def _numeral(step: Step) -> tuple[str, tuple[str, ...]]:
    """Without figures; they are accepted."""
    heard = harmonies.sounding(step)
    main = heard.root_position.numeral
    also = (
        step.harmony.numeral,
        heard.numeral,
        *heard.other_numerals,
        *heard.root_position.other_numerals,
    )
    return main, tuple(name for name in dict.fromkeys(also) if name != main)


FAMILY = Family("cadences", "Cadences", ("numeral", "cadence"), {}, make, by="clef")
