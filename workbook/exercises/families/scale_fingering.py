"""Scale fingering: a scale up and down, a box for the finger at each note.

In contrary motion both hands start on the same key, and the left goes down while the right
goes up: hands together, two octaves at most, and not in the melodic form. Four octaves for
hands together go one way only: both ways are too tall for a page.

Hands a third or a tenth apart begin on the tonic in the left hand, hands a sixth apart on the
tonic in the right (Beringer and Dunhill 1900, see tests/outside/published.py).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import FINGER
from workbook.exercises.blanks import give
from workbook.exercises.family import Family
from workbook.exercises.fingers import run_blanks
from workbook.exercises.model import Exercise, Request
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.scale_runs import FORMS, run, run_down
from workbook.exercises.settings import Setting, Settings
from workbook.exercises.staves import printed_staves, run_bar_lines
from workbook.fingering.conventions import Fingers
from workbook.music import scales
from workbook.music.keys import Key
from workbook.music.register import apart as places
from workbook.music.register import ledger_lines

_APART = {"third": (3, 1, 0), "sixth": (1, 3, 1), "tenth": (3, 1, 1)}
"""The degrees on which right and left hand begin, and by how many octaves the right hand's tonic
is above the left hand's.
"""


def _contrary(request: Request, form: str, octaves: int) -> dict[str, Columns]:
    def sides(at: int) -> dict[str, Columns]:
        down = scales.descending(request.key, form, at - octaves, octaves)
        return {
            "right": run(request, form, octaves, at),
            "left": [(p,) for p in down + down[-2::-1]],
        }

    return _nearest(sides, range(3, 6))


def _apart(request: Request, form: str, octaves: int) -> dict[str, Columns]:
    right, left, higher = _APART[request.settings["apart"]]

    def sides(at: int) -> dict[str, Columns]:
        return {
            "right": run(request, form, octaves, at + higher, right),
            "left": run(request, form, octaves, at, left),
        }

    return _nearest(sides, places(lambda at: sides(at)["right"][0][0], octaves))


def _nearest(
    sides: Callable[[int], dict[str, Columns]], octaves: Iterable[int]
) -> dict[str, Columns]:
    """The music in the octave in which it needs the fewest ledger lines."""

    def need(at: int) -> int:
        return max(ledger_lines(p, side) for side, columns in sides(at).items() for (p,) in columns)

    return sides(min(octaves, key=need))


def _make(request: Request, rng: Random) -> Exercise:
    key, count, form = request.key, request.settings["octaves"], request.settings["forms"]
    contrary = request.settings["motion"] == "contrary"
    down = request.settings["direction"] == "down"
    apart = request.settings["apart"]
    starts = dict(zip(("right", "left"), _APART.get(apart, (1, 1))))
    if contrary:
        sides = _contrary(request, form, count)
    elif apart != "octave":
        sides = _apart(request, form, count)
    else:
        going = run_down if down else run
        sides = fit_register(request, lambda at: going(request, form, count, at), rng)
    one_way = request.hand == "both" and count == 4
    if one_way:
        sides = {side: columns[: 7 * count + 1] for side, columns in sides.items()}

    def fingers(side: str) -> Fingers:
        if contrary:
            return request.fingering.contrary(key, form, side, count)
        if down:
            return request.fingering.scale_down(key, form, side, count)
        return request.fingering.scale_from(key, form, side, starts[side], count)

    blanks = run_blanks(request, sides, fingers)
    return Exercise(
        key,
        request.hand,
        wording.task([FINGER]),
        wording.label(
            request,
            wording.OCTAVES[count],
            "contrary motion" if contrary else _way(down, one_way),
            "" if apart == "octave" else f"a {apart} apart",
            form=form,
        ),
        printed_staves(
            sides, "4", run_bar_lines(7 * count + 1 if one_way else 14 * count + 1), octave=True
        ),
        give(blanks, request.given, rng),
    )


def _way(down: bool, one_way: bool) -> str:
    """What a label says of the way that a scale takes, "" of up and down again."""
    if one_way:
        return "going down" if down else "going up"
    return "down and up" if down else ""


def _problem(settings: Settings, _key: Key, hand: str) -> str:
    """Why hands in contrary motion, or not an octave apart, do not go with the other settings,
    the key and the hand, or "".
    """
    if settings["apart"] != "octave":
        if hand != "both":
            return f'apart "{settings["apart"]}" needs two hands; write hands = "both"'
        if settings["octaves"] > 2:
            return f'apart "{settings["apart"]}" has two octaves at most'
    if settings["motion"] != "contrary":
        return ""
    if hand != "both":
        return 'motion "contrary" needs two hands; write hands = "both"'
    if settings["octaves"] > 2:
        return 'motion "contrary" has two octaves at most'
    if settings["forms"] == "melodic":
        return 'motion "contrary" has no melodic form'
    return ""


FAMILY = Family(
    name="scale-fingering",
    title="Scale fingering",
    kinds=(FINGER,),
    settings={
        "octaves": Setting(
            (1, 2, 3, 4), 1, skill=True, about="hands together, four go one way only"
        ),
        "forms": FORMS,
        "motion": Setting(
            ("parallel", "contrary"),
            "parallel",
            skill=True,
            about="`contrary` is for hands together, two octaves at most, not melodic",
        ),
        "apart": Setting(
            ("octave", *_APART),
            "octave",
            skill=True,
            about="how far apart the hands are; other than `octave`, for two octaves at most",
            where={"motion": ("parallel",)},
        ),
        "direction": Setting(
            ("up", "down"),
            "up",
            about="the way that comes first, hands an octave apart",
            where={"motion": ("parallel",), "apart": ("octave",)},
        ),
    },
    maker=_make,
    rule=_problem,
)
