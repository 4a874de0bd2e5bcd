"""Cadence writing: cadences from numerals in keyboard style, the first chord of each printed."""

from __future__ import annotations

from functools import partial
from random import Random

from workbook.exercises import harmonies, wording
from workbook.exercises.answers import NOTES, NUMERAL
from workbook.exercises.blanks import note_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import Blank, Exercise, Request
from workbook.exercises.registers import Columns
from workbook.exercises.settings import Setting
from workbook.exercises.staves import written_staves
from workbook.music.chords import Harmony
from workbook.music.keys import Key
from workbook.music.progressions import STARTS, chords, lead

PLAIN = {
    "authentic": ("IV V I", "I V7 I", "ii6 V7 I", "IV V7 I"),
    "half": ("I IV V", "I ii6 V", "vi ii6 V"),
    "plagal": ("I IV I", "vi IV I"),
    "deceptive": ("IV V vi", "I V7 vi", "ii6 V7 vi"),
}
CADENTIAL = {
    "authentic": ("IV I6/4 V I", "ii6 I6/4 V7 I", "IV I6/4 V7 I"),
    "half": ("IV I6/4 V", "ii6 I6/4 V", "vi I6/4 V"),
}
"""Numerals of cadences, without and with the cadential 6/4; common practice, no source."""
KINDS = {
    "authentic": ("authentic",),
    "authentic and half": ("authentic", "half"),
    "all": tuple(PLAIN),
}
COUNT = 2

Way = tuple[tuple[Harmony, ...], str]
"""The chords of a cadence, and the position in which it begins."""


def ways(key: Key, kind: str, cadential: bool) -> list[Way]:
    """All ways to lead the cadences of a kind, from each position that the rules let it start
    from.
    """
    texts = CADENTIAL.get(kind, PLAIN[kind]) if cadential else PLAIN[kind]
    found: list[Way] = []
    for text in texts:
        line = chords(key, text)
        for start in STARTS:
            try:
                lead(line, 4, "keyboard", start)
            except ValueError:
                continue
            found.append((line, start))
    return found


def _choose(request: Request, rng: Random) -> list[Way]:
    """Two cadences, of two kinds if there are so many, and never the same twice."""
    names = KINDS[request.settings["kinds"]]
    kinds = rng.sample(names, min(COUNT, len(names)))
    kinds += rng.choices(names, k=COUNT - len(kinds))
    found: list[Way] = []
    for kind in kinds:
        can = ways(request.key, kind, request.settings["cadential"])
        found.append(rng.choice([way for way in can if way not in found]))
    return found


def _make(request: Request, rng: Random) -> Exercise:
    chosen = _choose(request, rng)
    sides: dict[str, Columns] = {"right": [], "left": []}
    for line, start in chosen:
        led = partial(lead, line, style="keyboard", start=start)
        for side, columns in harmonies.two_hands(request, rng, led).items():
            sides[side] += columns
    first, second = (len(line) for line, _ in chosen)
    bars = {first - 1: "||", first + second - 1: "|."}
    staves = written_staves(sides, bars, (0, first))
    places = [(line, start, n) for line, start in chosen for n in range(len(line))]
    blanks = tuple(
        blank._replace(also=harmonies.other_hands(blank.answer, *place, request.naming))
        if blank.hand == "right"
        else blank
        for blank in note_blanks(staves, request.naming)
        for place in (places[blank.column],)
    )
    labels = tuple(
        Blank("numeral", "right", column, None, (), line[n].numeral, given=True)
        for column, (line, _, n) in enumerate(places)
    )
    return Exercise(
        request.key,
        request.hand,
        "Write the chords in four voices, the bass in the left hand. "
        "Lead each voice to the nearest note.",
        wording.heading(request, request.naming.key(request.key), "four voices", by=""),
        staves,
        labels + blanks,
    )


FAMILY = Family(
    name="cadence-writing",
    title="Cadences to write",
    kinds=(NOTES,),
    settings={
        "kinds": Setting(tuple(KINDS), "authentic", skill=True, about="of cadences"),
        "cadential": Setting(
            (False, True),
            False,
            skill=True,
            about="whether the cadential 6/4 comes before V in authentic and half cadences",
        ),
    },
    maker=_make,
    by="",
    settle=harmonies.settle_both,
    others=(NUMERAL,),
)
