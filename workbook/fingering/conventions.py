"""Fingering conventions: the tables in ``templates/fingering``, looked up by key and hand.

In: a key or chord, a hand, a number of octaves. Out: a ``Finger`` for each note, with the
fingers of the accepted alternatives.
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

_SHIPPED = ("traditional.toml", "arpeggios.toml", "broken_chords.toml")


@dataclass(frozen=True)
class Finger:
    """The finger on one note, ``"1"`` to ``"5"``, in each accepted fingering of the run or
    chord, the first choice first; all notes have their fingerings in the same order.
    """

    versions: tuple[str, ...]

    @property
    def finger(self) -> str:
        return self.versions[0]

    @property
    def also(self) -> tuple[str, ...]:
        """The other fingers that are accepted."""
        return tuple(dict.fromkeys(d for d in self.versions if d != self.finger))


Fingers = tuple[Finger, ...]


@dataclass(frozen=True, eq=False)
class Conventions:
    """A table of fingerings; two tables are equal only if they are the same object.

    Unless a method says otherwise, runs go up and down again, with the top note once. Every
    method raises KeyError for what the table does not have.
    """

    entries: Entries

    def versions(self, subject: Subject, hand: str) -> tuple[str, ...]:
        """The fingerings as the table has them, a digit a note, the first choice first."""
        return self.entries[subject, hand]

    def scale(self, key: Key, form: str, hand: str, octaves: int = 1) -> Fingers:
        """``14 * octaves + 1`` fingers.

        Melodic minor comes down with the fingers of the natural form; the top note, which both
        share, keeps the finger it was reached with. The first choice up is combined with each
        choice down, and the first choice down with each choice up.
        """
        return self.scale_from(key, form, hand, 1, octaves)

    def scale_down(self, key: Key, form: str, hand: str, octaves: int = 1) -> Fingers:
        """The fingers of a scale from its top down and up again, as in ``scale``; in the melodic
        form the lowest note keeps the finger that it was reached with.
        """
        return _merge(back[::-1] + up[1:] for up, back in self._ways(key, form, hand, 1, octaves))

    def scale_from(self, key: Key, form: str, hand: str, start: int, octaves: int = 1) -> Fingers:
        """The fingers of a scale from degree ``start`` (1 to 7) and back, as in ``scale``.

        From another degree than the tonic each note keeps the finger that it has within the
        scale, but the thumb at the hand's outer end, where nothing follows, becomes the next
        finger. Also accepted: fewer fingers before the right hand's first thumb or after the
        left hand's last one; and 4 5 at the right hand's top for 1 2, where 3 comes before.
        """
        ways = self._ways(key, form, hand, start, octaves)
        return _merge(up + back[-2::-1] for up, back in ways)

    def _ways(
        self, key: Key, form: str, hand: str, start: int, octaves: int
    ) -> list[tuple[str, str]]:
        """The fingerings going up and those going down that go together, both low to high."""
        up = self._up_from(("scale", key, form), hand, start, octaves)
        if form != "melodic":
            return list(zip(up, up))
        down = self._up_from(("scale", key, "natural"), hand, start, octaves)
        return [
            (up[0], down[0]),
            *((other, down[0]) for other in up[1:]),
            *((up[0], other) for other in down[1:]),
        ]

    def _up_from(self, subject: Subject, hand: str, start: int, octaves: int) -> list[str]:
        if start == 1:
            return self._stretched(subject, hand, octaves, 7)
        found = []
        for whole in self._stretched(subject, hand, octaves + 1, 7):
            inner = whole[start - 1 : start + 7 * octaves]
            found += [_with_end(inner, hand), *_with_other_ends(inner, hand)]
        return list(dict.fromkeys(found))

    def contrary(self, key: Key, form: str, hand: str, octaves: int = 1) -> Fingers:
        """Fingers in contrary motion from one tonic: the right hand up and back, the left
        hand down and back. Not for the melodic form, which differs going down.
        """
        up = self._run(("scale", key, form), hand, octaves, 7)
        return up + up[-2::-1] if hand == "right" else up[::-1] + up[1:]

    def arpeggio(self, key: Key, hand: str, position: str = "root", octaves: int = 1) -> Fingers:
        """``6 * octaves + 1`` fingers of the tonic arpeggio, whose lowest note is that of
        ``position``.
        """
        up = self._run(("arpeggio", key, position), hand, octaves, 3)
        return up + up[-2::-1]

    def seventh_arpeggio(
        self, root: Pitch, kind: str, hand: str, octaves: int = 1, position: str = "root"
    ) -> Fingers:
        """``8 * octaves + 1`` fingers; ``kind`` is "dominant" or "diminished". The lowest note
        of a dominant is that of ``position``.
        """
        place = semitone(root) % 12
        subject: Subject = ("seventh", kind, place)
        if position != "root":
            subject = ("seventh inversion", position, place)
        up = self._run(subject, hand, octaves, 4)
        return up + up[-2::-1]

    def chromatic(self, start: Pitch, hand: str, octaves: int = 1) -> Fingers:
        """``24 * octaves + 1`` fingers from ``start``, which may be any key of the piano.

        A run that a system of the table begins with 2 on a white key begins with the thumb,
        unless the next note needs it; the system's own finger is accepted too.
        """
        runs: list[str] = []
        for system in self.versions(("chromatic",), hand):
            digits = [system[(semitone(start) + step) % 12] for step in range(12 * octaves + 1)]
            if not is_black(start) and digits[0] == "2" and digits[1] != "1":
                runs.append("".join(["1", *digits[1:]]))
            runs.append("".join(digits))
        return _merge(up + up[-2::-1] for up in runs)

    def five_finger(self, hand: str) -> Fingers:
        """Five fingers, from the lowest note up."""
        return _merge(self.versions(("five-finger",), hand))

    def chord(self, shape: str, hand: str) -> Fingers:
        """Fingers of a close chord from low to high; ``shape`` is one of ``SHAPES``."""
        return _merge(self.versions(("chord", shape), hand))

    def seventh_chord(self, position: str, hand: str) -> Fingers:
        """Fingers of a dominant seventh in close position from low to high."""
        return _merge(self.versions(("seventh chord", position), hand))

    def _run(self, subject: Subject, hand: str, octaves: int, degrees: int) -> Fingers:
        return _merge(self._stretched(subject, hand, octaves, degrees))

    def _stretched(self, subject: Subject, hand: str, octaves: int, degrees: int) -> list[str]:
        return [
            stretch(version, hand, octaves, degrees) for version in self.versions(subject, hand)
        ]


def stretch(two: str, hand: str, octaves: int, degrees: int) -> str:
    """A two-octave fingering of ``2 * degrees + 1`` notes over any number of octaves.

    The note at the hand's outer end (the right hand's highest, the left hand's lowest) stands
    once; the inner octave is repeated.

    >>> stretch("1231235", "right", 3, 3), stretch("5421421", "left", 1, 3)
    ('1231231235', '5421')
    """
    if hand == "right":
        return two[:degrees] + two[degrees:-1] * (octaves - 1) + two[-1]
    return two[0] + two[1 : degrees + 1] * (octaves - 1) + two[degrees + 1 :]


def _with_end(inner: str, hand: str) -> str:
    """A piece of a scale without the thumb at the hand's outer end.

    >>> _with_end("1231234123", "right"), _with_end("1432132143", "left")
    ('1231234123', '5432132143')
    """
    if hand == "left":
        return _with_end(inner[::-1], "right")[::-1]
    return inner[:-1] + str(int(inner[-2]) + 1) if inner[-1] == "1" else inner


def _with_other_ends(inner: str, hand: str) -> list[str]:
    """The piece with other fingers at its ends that are as good.

    >>> _with_other_ends("341231234123", "right"), _with_other_ends("32132143213214", "left")
    (['231231234123'], ['32132143213212'])
    """
    if hand == "left":
        first = _fewer(inner[::-1])[::-1]
        return [_with_end(first, hand)]
    found = [_with_end(_fewer(inner), hand)]
    if inner.endswith("312"):
        found.append(inner[:-2] + "45")
    return found


def _fewer(digits: str) -> str:
    """Digits that begin 3 1, 4 1 or 3 4 1 and so on, with 2 as the first finger."""
    before = digits.index("1")
    return "".join(map(str, range(2, 2 + before))) + digits[before:]


def _merge(versions: Iterable[str]) -> Fingers:
    """A ``Finger`` for each note, from fingerings of the whole, the first choice first."""
    return tuple(map(Finger, zip(*versions)))


@lru_cache(maxsize=1)
def traditional() -> Conventions:
    """The conventions that are shipped with the program."""
    entries: Entries = {}
    for name in _SHIPPED:
        entries |= read_entries(shipped() / "fingering" / name)
    return Conventions(entries)


def load(path: Path | str) -> Conventions:
    """The shipped conventions, with the entries of a teacher's file in place of theirs.

    Raises InputError with everything that is wrong in the file.
    """
    return Conventions(traditional().entries | read_entries(Path(path)))
