"""An exercise as music21 reads it: notes, printed names, scales.

Source: music21, a general-purpose music analysis library, which has scales, keys and
key signatures of its own. Of this project only the data of an exercise is used, and
``scientific``, which writes a pitch down.
"""

from functools import cache
from random import Random

from asked import Request
from music21 import key as m21key
from music21 import pitch as m21pitch
from music21 import scale as m21scale

from workbook.exercises.families import FAMILIES
from workbook.exercises.model import HANDS
from workbook.music.keys import ALL_KEYS
from workbook.music.naming import ENGLISH
from workbook.music.pitch import scientific

SCALES = {
    "major": m21scale.MajorScale,
    "natural": m21scale.MinorScale,
    "harmonic": m21scale.HarmonicMinorScale,
    "melodic": m21scale.MelodicMinorScale,
}
_PRINTED = {"♯": "#", "♭": "-", "𝄪": "##", "𝄫": "--"}


@cache
def theirs(p) -> m21pitch.Pitch:
    """A pitch of the exercise as music21's, by way of its scientific name; not to be changed."""
    return m21pitch.Pitch(scientific(p).replace("b", "-"))


def notes(staff) -> list[m21pitch.Pitch]:
    """The notes of a staff that has one in a column, empty columns left out."""
    return [theirs(p) for event in staff.events for p in event.pitches]


def read(text: str) -> str:
    """A printed note name as music21 spells it: ``"B♭"`` is ``"B-"``."""
    return "".join(_PRINTED.get(char, char) for char in text)


def spelled(p: m21pitch.Pitch) -> str:
    """music21's pitch as English pages print it, without octave."""
    name = p.name.replace("##", "𝄪").replace("#", "♯")
    return name.replace("--", "𝄫").replace("-", "♭")


def theirs_key(exercise) -> tuple[str, str]:
    """Tonic and mode of an exercise's key as music21 writes them."""
    return exercise.key.tonic.replace("b", "-"), exercise.key.mode


def key(text: str) -> m21key.Key:
    """The key that a label begins with: ``"E♭ harmonic minor, left hand"``."""
    tonic, *words = text.split(",", maxsplit=1)[0].split(" ")
    return m21key.Key(read(tonic), next(word for word in words if word in ("major", "minor")))


@cache
def scale(tonic: str, form: str, octaves: int = 2, down: bool = False) -> list[m21pitch.Pitch]:
    """A scale of music21 from the tonic in octave 3 upwards, or from its end downwards."""
    low, high = m21pitch.Pitch(tonic + "3"), m21pitch.Pitch(f"{tonic}{3 + octaves}")
    way = m21scale.Direction.DESCENDING if down else m21scale.Direction.ASCENDING
    found = SCALES[form](low).getPitches(low, high, direction=way)
    return sorted(found, key=lambda p: p.diatonicNoteNum * (-1 if down else 1))


def form(exercise) -> str:
    """The form of scale that a label names."""
    return next((name for name in SCALES if f" {name} minor" in exercise.label), "major")


def start(exercise) -> int:
    """The degree on which a label says that the scale begins, 1 to 7."""
    return int(([*exercise.label.split("from the "), "1"])[1][0])


def answers(exercise, asks: str, hand: str | None = None) -> list:
    return [blank for blank in exercise.blanks if blank.asks == asks and hand in (None, blank.hand)]


SOME_KEYS = (*ALL_KEYS[1::3], *(key for key in ALL_KEYS if abs(key.fifths) == 7))
"""One key in three, and those with all signs: of families that take long, the ordinary run has
these; ``test_sweep.py`` has every family in all keys."""


def sample(family: str, seeds: int = 1, keys=ALL_KEYS, ask=(), naming=ENGLISH, **fixed):
    """Exercises of a family: every key, hand and value of every setting (one setting at a
    time, the others as they are), each with ``seeds`` seeds; ``fixed`` settings stay."""
    kind = FAMILIES[family]
    choices = [
        {name: value}
        for name, values in kind.settings.items()
        for value in values
        if name not in fixed
    ] or [{}]
    for which in keys:
        for hand in HANDS if kind.by else HANDS[:1]:
            for choice in choices:
                if choice.get("forms") not in (None, *forms(which)) or kind.problem(
                    {**choice, **fixed}, which, hand
                ):
                    continue
                for seed in range(seeds):
                    request = Request(
                        which, hand, ask or kind.asks, 0, 2, {**choice, **fixed}, naming
                    )
                    yield kind.make(request, Random(f"{which}{hand}{choice}{seed}"))


@cache
def on_staves() -> tuple[str, ...]:
    """The families of what stands on staves."""
    return tuple(name for name in FAMILIES if next(sample(name, keys=ALL_KEYS[:1])).staves)


def forms(which) -> tuple[str, ...]:
    return tuple(SCALES)[1:] if which.minor else ("major",)
