"""Scale fingering: a scale up and down, a box for the finger at each note.

In contrary motion both hands start on the same key, and the left goes down while the right
goes up: hands together, two octaves at most, and not in the melodic form. Four octaves for
hands together go up only: both ways are too tall for a page.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import FINGER
from workbook.exercises.blanks import give
from workbook.exercises.family import Family
from workbook.exercises.fingers import run_blanks
from workbook.exercises.model import Exercise, Request
from workbook.exercises.registers import Columns, fit_register
from workbook.exercises.scale_runs import FORMS, run
from workbook.exercises.settings import Setting, Settings
from workbook.exercises.staves import printed_staves, run_bar_lines
from workbook.music import scales
from workbook.music.keys import Key
from workbook.music.register import ledger_lines


def _contrary(request: Request, form: str, octaves: int) -> dict[str, Columns]:
    def sides(at: int) -> dict[str, Columns]:
        down = scales.descending(request.key, form, at - octaves, octaves)
        return {
            "right": run(request, form, octaves, at),
            "left": [(p,) for p in down + down[-2::-1]],
        }

    def need(at: int) -> int:
        return max(ledger_lines(p, side) for side, columns in sides(at).items() for (p,) in columns)

    return sides(min(range(3, 6), key=need))


def _make(request: Request, rng: Random) -> Exercise:
    key, count, form = request.key, request.settings["octaves"], request.settings["forms"]
    contrary = request.settings["motion"] == "contrary"
    if contrary:
        sides = _contrary(request, form, count)
    else:
        sides = fit_register(request, lambda at: run(request, form, count, at), rng)
    up_only = request.hand == "both" and count == 4
    if up_only:
        sides = {side: columns[: 7 * count + 1] for side, columns in sides.items()}
    table = request.fingering.contrary if contrary else request.fingering.scale
    blanks = run_blanks(request, sides, lambda side: table(key, form, side, count))
    return Exercise(
        key,
        request.hand,
        wording.task([FINGER]),
        wording.label(
            request,
            wording.OCTAVES[count],
            "contrary motion" if contrary else "going up" if up_only else "",
            form=form,
        ),
        printed_staves(
            sides, "4", run_bar_lines(7 * count + 1 if up_only else 14 * count + 1), octave=True
        ),
        give(blanks, request.given, rng),
    )


def _problem(settings: Settings, _key: Key, hand: str) -> str:
    """Why contrary motion does not go with the other settings, the key and the hand, or ""."""
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
        "octaves": Setting((1, 2, 3, 4), 1, skill=True, about="hands together, four go up only"),
        "forms": FORMS,
        "motion": Setting(
            ("parallel", "contrary"),
            "parallel",
            skill=True,
            about="`contrary` is for hands together, two octaves at most, not melodic",
        ),
    },
    maker=_make,
    rule=_problem,
)
