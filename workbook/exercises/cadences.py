"""Cadences: pairs of chords to be named authentic, half, plagal or deceptive."""

from __future__ import annotations

from random import Random

from workbook.exercises import common, harmonies
from workbook.exercises.model import Blank, Exercise, Family, Request, give
from workbook.music.cadences import CADENCES, OTHER_NAMES, cadence
from workbook.music.progressions import STARTS, Step, chords, lead

PAIRS = {"authentic": ("V I", "V7 I"), "half": ("I V", "IV V", "ii6 V"),
         "plagal": ("IV I",), "deceptive": ("V vi", "V7 vi")}
"""What the last two chords may be; the name is derived from them all the same."""
COUNT = 4


def _choose(rng: Random) -> list[tuple[str, str]]:
    """Four pairs and positions, three or four kinds: the last cannot be found by elimination."""
    kinds = rng.sample(CADENCES, len(CADENCES))
    kinds[rng.randrange(COUNT)] = rng.choice(CADENCES)
    return [(rng.choice(PAIRS[kind]), rng.choice(STARTS)) for kind in kinds]


def make(request: Request, rng: Random) -> Exercise:
    chosen, four = _choose(rng), request.hand == "both"

    def led(at: int) -> tuple[Step, ...]:
        return tuple(step for pair, start in chosen for step in lead(
            chords(request.key, pair), at, "keyboard" if four else "close", start))

    line = led(4)
    if four:
        sides = harmonies.two_hands(request, rng, led)
    else:
        sides = common.place(request, lambda at: [step.notes for step in led(at)], rng)
    first = next(iter(sides))
    blanks = [Blank("numeral", first, column, None, harmonies.all_notes(sides, column),
                    *_numeral(step)) for column, step in enumerate(line)]
    for number in range(COUNT):
        name = cadence(line[2 * number].harmony, line[2 * number + 1].harmony)
        of = harmonies.all_notes(sides, 2 * number) + harmonies.all_notes(sides, 2 * number + 1)
        blanks.append(Blank("cadence", first, 2 * number + 1, None, of, name, OTHER_NAMES[name]))
    listed = ", ".join(CADENCES[:-1]) + " or " + CADENCES[-1]
    numerals = "Write the Roman numerals. " if "numeral" in request.ask else ""
    name = f"Name each cadence: {listed}." if "cadence" in request.ask else ""
    bars = {column: "||" if column % 2 else "|" for column in range(2 * COUNT - 1)}
    return Exercise(
        "cadences", request.key, request.hand, (numerals + name).strip(),
        common.label(request, by="clef"),
        common.staves(sides, "1", bars | {2 * COUNT - 1: "|."}),
        give(common.in_order(blanks, request.ask), request.given, rng))


def _numeral(step: Step) -> tuple[str, tuple[str, ...]]:
    """Without figures; they are accepted."""
    heard = harmonies.sounding(step)
    main = heard.root_position.numeral
    also = (step.harmony.numeral, heard.numeral, *heard.other_numerals)
    return main, tuple(name for name in dict.fromkeys(also) if name != main)


FAMILY = Family("cadences", "Cadences", ("numeral", "cadence"), {}, make, by="clef")
