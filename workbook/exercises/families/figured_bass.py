"""Figured bass: a bass with figures, to be realized in keyboard style.

The right hand of the first chord is printed. What the rules of voice leading allow in place of
the answer, for each chord separately, is accepted.
"""

from __future__ import annotations

from functools import cache, partial
from random import Random

from workbook.exercises import harmonies, wording
from workbook.exercises.answers import FIGURE, NOTES
from workbook.exercises.blanks import note_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.settings import Setting
from workbook.exercises.staves import printed_staves, written_staves
from workbook.music.chords import Harmony
from workbook.music.keys import Key, signature
from workbook.music.pitch import letter
from workbook.music.progressions import STARTS, chords, lead

PROGRESSIONS = {
    "root position": ("I IV V I", "I vi IV V I", "I IV ii V I", "I V vi IV V I"),
    "sixths": ("I I6 IV V I", "I V6 I IV V I", "I IV6 V I", "I V6 I ii6 V I", "I I6 ii6 V I"),
    "six-fours": ("I IV I6/4 V I", "I ii6 I6/4 V I", "I6 ii6 I6/4 V I", "vi ii6 I6/4 V I"),
    "sevenths": (
        "I V6/5 I V I",
        "I ii6/5 V I",
        "I V6/5 I ii6 V7 I",
        "I IV V4/2 I6 V7 I",
        "I V4/3 I6 IV V I",
        "I I6 ii6/5 V7 I",
    ),
}
"""Progressions by the hardest of their figures: common practice, no source."""
_RAISED = {-1: "♮", 0: "♯", 1: "𝄪"}
"""The sign of a raised third, by what the signature does to its note."""


def figures(chord: Harmony) -> str | None:
    """What stands under the bass: the figures of the inversion, or the sign of a raised third;
    "" for a triad of the key. None for a chord that needs a sign beside a figure.
    """
    tones, own = chord.tones(4), signature(chord.key)
    altered = [n for n, p in enumerate(tones) if p.signs != own.get(letter(p), 0)]
    if not [n for n in altered if n != chord.inversion]:
        return "" if chord.figures == "5/3" else chord.figures
    if altered == [1] and not chord.inversion and not chord.kind.seventh:
        return _RAISED[own.get(letter(tones[1]), 0)]
    return None


@cache
def ways(mode: str, kind: str) -> list[tuple[str, str]]:
    """The progressions that figures can write in a mode, with the positions to begin in."""
    found, key = [], Key("C", mode)
    for text in PROGRESSIONS[kind]:
        line = chords(key, text)
        for start in STARTS:
            try:
                lead(line, 4, "keyboard", start)
            except ValueError:
                continue
            if None not in map(figures, line):
                found.append((text, start))
    return found


def _make(request: Request, rng: Random) -> Exercise:
    text, start = rng.choice(ways(request.key.mode, request.settings["figures"]))
    line = chords(request.key, text)
    led = partial(lead, line, style="keyboard", start=start)
    sides = harmonies.two_hands(request, rng, led)
    bars = harmonies.bars(len(line), request.key)
    shown = 1 + min(request.given, len(line) - 2)
    staves = (
        *written_staves({"right": sides["right"]}, bars, range(shown)),
        *printed_staves({"left": sides["left"]}, "1", bars),
    )
    blanks = tuple(
        blank._replace(
            also=harmonies.other_hands(blank.answer, line, start, blank.column, request.naming),
        )
        for blank in note_blanks(staves, request.naming)
    )
    labels = tuple(
        Blank("figure", "left", column, None, sides["left"][column], figure, given=True)
        for column, chord in enumerate(line)
        if (figure := figures(chord))
    )
    return Exercise(
        request.key,
        request.hand,
        "Write three voices for the right hand over the figured bass. "
        "Lead each voice to the nearest note.",
        wording.label(request, "four voices", by=""),
        staves,
        labels + blanks,
    )


FAMILY = Family(
    name="figured-bass",
    title="Figured bass",
    kinds=(NOTES,),
    settings={
        "figures": Setting(
            tuple(PROGRESSIONS), "sixths", skill=True, about="the hardest ones that occur"
        ),
    },
    maker=_make,
    by="",
    settle=harmonies.settle_both,
    others=(FIGURE,),
)
