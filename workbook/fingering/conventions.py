"""Fingering conventions: the tables in ``templates/fingering``, asked by key and hand.

In: a key or chord, a hand, how many octaves. Out: one ``Finger`` per note, with
the fingers of the accepted alternatives.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from workbook.fingering.table import Entries, Subject, read_entries
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, is_black, semitone
from workbook.resources import shipped

_SHIPPED = ("traditional.toml", "arpeggios.toml")


@dataclass(frozen=True)
class Finger:
    """The finger on one note, ``"1"`` to ``"5"``, in each accepted fingering of the run or
    chord, the first choice first: the same place is the same fingering at each note.
    """

    versions: tuple[str, ...]

    @property
    def finger(self) -> str:
        return self.versions[0]

    @property
    def also(self) -> tuple[str, ...]:
        """Others that are accepted."""
        return tuple(dict.fromkeys(d for d in self.versions if d != self.finger))


Fingers = tuple[Finger, ...]


@dataclass(frozen=True, eq=False)
class Conventions:
    """A table of fingerings; two are the same only if they are one object.

    Runs are fingered up and down again with the top note once, where nothing
    else is said. Every method raises KeyError for what the table does not have.
    """

    entries: Entries

    def versions(self, subject: Subject, hand: str) -> tuple[str, ...]:
        """The digits as the table has them, the first choice first."""
        return self.entries[subject, hand]

    def scale(self, key: Key, form: str, hand: str, octaves: int = 1) -> Fingers:
        """``14 * octaves + 1`` fingers.

        Melodic minor comes down with the natural form's fingers, so a top note that
        both share is fingered as it was reached. Its other versions differ one way, up or
        down; two that differ either way go together.
        """
        up = self._stretched(("scale", key, form), hand, octaves, 7)
        pairs = list(zip(up, up))
        if form == "melodic":
            down = self._stretched(("scale", key, "natural"), hand, octaves, 7)
            pairs = [
                (up[0], down[0]),
                *((other, down[0]) for other in up[1:]),
                *((up[0], other) for other in down[1:]),
            ]
        return _merge(there + back[-2::-1] for there, back in pairs)

    def contrary(self, key: Key, form: str, hand: str, octaves: int = 1) -> Fingers:
        """Fingers in contrary motion from one tonic: the right hand up and back, the left
        hand down and back. Not for the melodic form, which has no one way down.
        """
        up = self._run(("scale", key, form), hand, octaves, 7)
        return up + up[-2::-1] if hand == "right" else up[::-1] + up[1:]

    def arpeggio(self, key: Key, hand: str, position: str = "root", octaves: int = 1) -> Fingers:
        """``6 * octaves + 1`` fingers of the tonic arpeggio from its lowest note."""
        up = self._run(("arpeggio", key, position), hand, octaves, 3)
        return up + up[-2::-1]

    def seventh_arpeggio(self, root: Pitch, kind: str, hand: str, octaves: int = 1) -> Fingers:
        """``8 * octaves + 1`` fingers; ``kind`` is "dominant" or "diminished"."""
        up = self._run(("seventh", kind, semitone(root) % 12), hand, octaves, 4)
        return up + up[-2::-1]

    def chromatic(self, start: Pitch, hand: str, octaves: int = 1) -> Fingers:
        """``24 * octaves + 1`` fingers from ``start``, which may be any key of the piano.

        Where the second finger's place comes first, the run may begin with the
        thumb, if the next note does not need it.
        """
        digits = [
            self.versions(("chromatic",), hand)[0][(semitone(start) + step) % 12]
            for step in range(12 * octaves + 1)
        ]
        versions = ["".join(digits)]
        if not is_black(start) and "1" not in digits[:2]:
            versions.insert(0, "1" + versions[0][1:])
        return _merge(up + up[-2::-1] for up in versions)

    def five_finger(self, hand: str) -> Fingers:
        """Nine fingers: five neighbouring degrees up and down."""
        up = _merge(self.versions(("five-finger",), hand))
        return up + up[-2::-1]

    def chord(self, shape: str, hand: str) -> Fingers:
        """Fingers of a close chord, low to high; ``shape`` is a position or "v7-third"."""
        return _merge(self.versions(("chord", shape), hand))

    def _run(self, subject: Subject, hand: str, octaves: int, degrees: int) -> Fingers:
        return _merge(self._stretched(subject, hand, octaves, degrees))

    def _stretched(self, subject: Subject, hand: str, octaves: int, degrees: int) -> list[str]:
        return [
            stretch(version, hand, octaves, degrees) for version in self.versions(subject, hand)
        ]


def stretch(two: str, hand: str, octaves: int, degrees: int) -> str:
    """A two-octave fingering of ``2 * degrees + 1`` notes over any number of octaves.

    The end that the hand plays with its outer fingers (the right hand's top, the
    left hand's bottom) is one note; the rest is repeated from the inside.

    >>> stretch("1231235", "right", 3, 3), stretch("5421421", "left", 1, 3)
    ('1231231235', '5421')
    """
    if hand == "right":
        return two[:degrees] + two[degrees:-1] * (octaves - 1) + two[-1]
    return two[0] + two[1 : degrees + 1] * (octaves - 1) + two[degrees + 1 :]


def _merge(versions: Iterable[str]) -> Fingers:
    """One ``Finger`` a note from whole fingerings, the first choice first."""
    return tuple(map(Finger, zip(*versions)))


@lru_cache(maxsize=1)
def traditional() -> Conventions:
    """The conventions that come along."""
    entries: Entries = {}
    for name in _SHIPPED:
        entries |= read_entries(shipped() / "fingering" / name)
    return Conventions(entries)


def load(path: Path | str) -> Conventions:
    """The conventions that come along with the entries of a teacher's file over them.

    Raises InputError with everything that is wrong in the file.
    """
    return Conventions(traditional().entries | read_entries(Path(path)))
