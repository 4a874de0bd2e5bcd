"""Common tones: how each voice goes from chord to chord, and how many stay."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from random import Random

from workbook.exercises import harmonies, wording
from workbook.exercises.answers import AnswerKind
from workbook.exercises.blanks import give, in_order
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.settings import START_POSITION, Settings
from workbook.exercises.staves import printed_staves
from workbook.music.keys import Key
from workbook.music.naming import Naming
from workbook.music.pitch import Pitch, semitone, staff_degree

MOST = 5
"""Chords on one line of music with boxes between them."""


def _check(value: object) -> None:
    harmonies.check_numerals(value)
    if len(harmonies.numerals(str(value)).replace("-", " ").split()) > MOST:
        raise ValueError(f"a line with boxes between the chords holds {MOST} of them at most")


NUMERALS = replace(
    harmonies.NUMERALS, values=("full", "short", "I vi IV V I", "I IV ii V I"), check=_check
)


def motion(a: Pitch, b: Pitch, naming: Naming) -> tuple[str, tuple[str, ...]]:
    """How a voice goes from ``a`` to ``b``: stays, the letter of a half or whole step, or skip."""
    away, steps = abs(semitone(b) - semitone(a)), abs(staff_degree(b) - staff_degree(a))
    if not away and not steps:
        return "stays", ("same", "common tone", "0")
    if steps <= 1 and away == 1:
        return naming.half_letter, (naming.half_step, "½")
    if steps == 1 and away == 2:
        return naming.whole_letter, (naming.whole_step, "1")
    return "skip", ("leap",)


def _problem(settings: Settings, key: Key, hand: str) -> str:
    if wrong := harmonies.problem(settings, key, hand):
        return wrong
    if any(len(step.notes) != 3 for step in harmonies.steps(settings, key, 4)):
        return "common tones are asked of chords of three notes; leave out the sevenths but V7"
    return ""


def _make(request: Request, rng: Random) -> Exercise:
    line, chord_columns = harmonies.columns(request, rng)
    # the boxes stand in an empty column between two chords
    sides = {
        side: [column for chord in columns for column in (chord, ())][:-1]
        for side, columns in chord_columns.items()
    }
    first = next(iter(sides))
    blanks: list[Blank] = []
    for number, (a, b) in enumerate(pairwise(chord_columns[first])):
        moves = [motion(p, q, request.naming) for p, q in zip(a, b)]
        blanks += [
            Blank("motion", first, 2 * number + 1, voice, (a[voice], b[voice]), *move)
            for voice, move in enumerate(moves)
        ]
        kept = str(len(set(a) & set(b)))
        blanks.append(Blank("common", first, 2 * number + 1, None, a + b, kept))
    naming, tasks = request.naming, []
    if "motion" in request.ask:
        tasks.append(
            f"Write how each voice moves to the next chord: stays, {naming.half_letter} "
            f"({naming.half_step}), {naming.whole_letter} ({naming.whole_step}) or skip. "
            "The bottom box is for the lowest voice."
        )
    if "common" in request.ask:
        tasks.append("Write how many notes the two chords have in common.")
    bars = {2 * n + 1: "|" for n in range(len(line) - 1)} | {2 * len(line) - 2: "|."}
    return Exercise(
        request.key,
        request.hand,
        " ".join(tasks),
        wording.label(request),
        printed_staves(sides, "1", bars),
        give(in_order(blanks, request.ask), request.given, rng),
    )


MOTION = AnswerKind(
    "motion",
    "how a voice moves: stays, half step, whole step or skip",
    14.5,
    stacked=14.5,
    words="letters",
)
COMMON = AnswerKind("common", "how many notes two chords share", 8.0)
FAMILY = Family(
    name="common-tones",
    title="Common tones",
    kinds=(MOTION, COMMON),
    settings={
        "numerals": NUMERALS,
        "start": START_POSITION,
    },
    maker=_make,
    rule=_problem,
)
