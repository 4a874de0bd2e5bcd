"""Arpeggios: a chord note by note, up and down over one to four octaves, a box at each note.

The tonic triad and the dominant seventh start on any of their tones; the diminished seventh
on the leading note starts on its root.
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
from workbook.exercises.settings import Setting, Settings
from workbook.exercises.spellings import moved
from workbook.exercises.staves import printed_staves, run_bar_lines
from workbook.fingering.conventions import Fingers
from workbook.music.chords import POSITIONS, TRIAD_POSITIONS, harmony, inversion
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, above
from workbook.music.qualities import QUALITIES
from workbook.music.scales import degree

TONIC, DOMINANT, DIMINISHED = CHORDS = ("tonic", "dominant seventh", "diminished seventh")
_POSITION_WORDS = {
    "root": "",
    "1st": "1st inversion",
    "2nd": "2nd inversion",
    "3rd": "3rd inversion",
}


def tones(request: Request, chord: str, position: str, at: int) -> tuple[Pitch, ...]:
    """The chord's tones low to high, from the first note of the arpeggio."""
    if chord == TONIC:
        return inversion(harmony(request.key, "I").tones(at), TRIAD_POSITIONS.index(position))
    if chord == DOMINANT:
        return inversion(harmony(request.key, "V7").tones(at), POSITIONS.index(position))
    root = degree(request.key, 7, at)
    return tuple(above(root, step) for step in QUALITIES["diminished seventh"].tones)


def _make(request: Request, rng: Random) -> Exercise:
    chord, position, count = (request.settings[name] for name in ("chord", "position", "octaves"))

    def music(at: int) -> Columns:
        once = tones(request, chord, position, at)
        up = tuple(moved(p, number) for number in range(count) for p in once)
        up += (moved(once[0], count),)
        return [(p,) for p in up + up[-2::-1]]

    def fingers(side: str) -> Fingers:
        if chord == TONIC:
            return request.fingering.arpeggio(request.key, side, position, count)
        root = harmony(request.key, "V7" if chord == DOMINANT else "vii°7").root(4)
        return request.fingering.seventh_arpeggio(root, chord.split()[0], side, count, position)

    sides = fit_register(request, music, rng)
    columns = len(next(iter(sides.values())))
    half = columns // 2 + 1
    return Exercise(
        request.key,
        request.hand,
        wording.task([FINGER]),
        wording.label(
            request,
            chord if chord != TONIC else "",
            _POSITION_WORDS[position],
            wording.OCTAVES[count],
        ),
        printed_staves(
            sides, "4", run_bar_lines(columns, half if count > 2 else columns), octave=True
        ),
        give(run_blanks(request, sides, fingers), request.given, rng),
    )


def _settled(settings: Settings, _key: Key, hand: str) -> tuple[Settings, str]:
    """The triad, which has no third inversion, in root position in its place."""
    if settings["position"] == "3rd" and settings["chord"] == TONIC:
        return {**settings, "position": "root"}, hand
    return settings, hand


FAMILY = Family(
    name="arpeggio",
    title="Arpeggios",
    kinds=(FINGER,),
    settings={
        "chord": Setting(CHORDS, TONIC, skill=True),
        "position": Setting(
            POSITIONS,
            "root",
            skill=True,
            about="a triad has no `3rd`, and is in root position then",
            where={"chord": (TONIC, DOMINANT)},
        ),
        "octaves": Setting((1, 2, 3, 4), 1, skill=True),
    },
    maker=_make,
    settle=_settled,
)
