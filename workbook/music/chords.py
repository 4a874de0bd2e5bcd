"""Chords in a key: their notes, names, Roman numerals and inversions.

Each degree has the triad and the seventh chord that the mode gives it. In minor the chords
on 5 and the diminished ones on 7 have the raised leading tone; III has not (Open Music
Theory, "Triads and seventh chords"; its entry for the seventh chord on 7 in minor lists the
notes of a diminished seventh). Applied dominants are chords on 5 or 7 of the key of another
triad ("Applied chords", same book).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache

from workbook.music import numerals
from workbook.music.keys import Key
from workbook.music.pitch import Pitch, above, letter, note_name, semitone
from workbook.music.qualities import QUALITIES, Quality
from workbook.music.scales import ascending

POSITIONS = ("root", "1st", "2nd", "3rd")
TRIAD_POSITIONS = POSITIONS[:3]

# For each degree the mode's own chord first, then others that the forms of the
# scale give: natural (v, VII), harmonic (III+), melodic (ii, IV, vi°), and the
# major tonic that ends a piece in minor.
_TRIADS = {
    "major": {
        1: "major",
        2: "minor",
        3: "minor",
        4: "major",
        5: "major",
        6: "minor",
        7: "diminished",
    },
    "minor": {
        1: "minor major",
        2: "diminished minor",
        3: "major augmented",
        4: "minor major",
        5: "major minor",
        6: "major diminished",
        7: "diminished major",
    },
}
_SEVENTHS = {
    "major": {
        1: "major",
        2: "minor",
        3: "minor",
        4: "major",
        5: "dominant",
        6: "minor",
        7: "half-diminished diminished",
    },
    "minor": {
        1: "minor",
        2: "half-diminished minor",
        3: "major",
        4: "minor dominant",
        5: "dominant minor",
        6: "major half-diminished",
        7: "diminished dominant",
    },
}
_RAISED = {"diminished", "half-diminished seventh", "diminished seventh"}


def qualities(mode: str, degree: int, seventh: bool) -> tuple[str, ...]:
    """The names of the qualities found on a degree, the mode's own first."""
    words = (_SEVENTHS if seventh else _TRIADS)[mode][degree].split()
    return tuple(f"{word} seventh" if seventh else word for word in words)


@dataclass(frozen=True)
class Harmony:
    """A chord in a key.

    ``degree`` is 1 to 7; ``quality`` a name in ``QUALITIES``; ``inversion`` 0 to 2, or 3 for a
    seventh chord. ``target`` is the numeral of the triad to which an applied dominant belongs
    ("V" in V7/V), and ``degree`` then counts in the key of that triad; otherwise it is "".
    """

    key: Key
    degree: int
    quality: str
    inversion: int = 0
    target: str = ""

    @property
    def kind(self) -> Quality:
        return QUALITIES[self.quality]

    def root(self, octave: int) -> Pitch:
        """The root, on or above the tonic in ``octave``."""
        return self.tones(octave)[0]

    def tones(self, octave: int) -> tuple[Pitch, ...]:
        """Root position, low to high: three pitches, four for a seventh chord."""
        return _tones(self, octave)

    def close(self, octave: int) -> tuple[Pitch, ...]:
        """Close position, with the bass note of the inversion lowest."""
        return inversion(self.tones(octave), self.inversion)

    @property
    def figures(self) -> str:
        """The figures of the inversion: "", "6", "6/4", "7", "6/5", "4/3" or "4/2"."""
        row = numerals.SEVENTH_FIGURES if self.kind.seventh else numerals.TRIAD_FIGURES
        return row[self.inversion]

    @property
    def numeral(self) -> str:
        """The Roman numeral as printed: ``I``, ``ii6``, ``vii°7``, ``V6/5/V``."""
        roman = numerals.ROMAN[self.degree - 1]
        applied = f"/{self.target}" if self.target else ""
        return (
            (roman if self.kind.upper else roman.lower()) + self.kind.sign + self.figures + applied
        )

    @property
    def other_numerals(self) -> tuple[str, ...]:
        """Other ways to write the numeral: ``V65``, ``viio6``, ``V2``, ``V7 of V``."""
        stem, figures = self._stem.removesuffix("7"), self.figures
        found = [stem + figures, stem + figures.replace("/", "")]
        if figures == "4/2":
            found.append(stem + "2")
        return tuple(name for name in self._written(found) if name != self.numeral)

    @property
    def lettered_numerals(self) -> tuple[str, ...]:
        """The numeral with a letter for the inversion, as in Britain: ``Ia``, ``V7d``."""
        return self._written([self._stem + "abcd"[self.inversion]])

    @property
    def _stem(self) -> str:
        """The numeral without inversion and target, with the 7 of a seventh chord."""
        return self.root_position.numeral.split("/")[0]

    def _written(self, stems: list[str]) -> tuple[str, ...]:
        """Stems with the target after a slash or ``of``, and with ``o`` for °."""
        ends = (f"/{self.target}", f" of {self.target}") if self.target else ("",)
        found = [stem + end for end in ends for stem in stems]
        return tuple(dict.fromkeys([*found, *(name.replace("°", "o") for name in found)]))

    @property
    def root_position(self) -> Harmony:
        return replace(self, inversion=0)

    def symbol(self, note_name: Callable[[Pitch], str] = note_name, bass: bool = False) -> str:
        """The chord name as printed, ``F♯m``, ``G7``; with ``bass`` ``G7/B`` if inverted.

        ``note_name`` writes a note.
        """
        return note_name(self.root(4)) + self.kind.suffix + (self._slash(note_name) if bass else "")

    def other_symbols(
        self, note_name: Callable[[Pitch], str] = note_name, bass: bool = False
    ) -> tuple[str, ...]:
        """Other spellings of the chord name that are accepted when marking."""
        slash = self._slash(note_name) if bass else ""
        root, main = note_name(self.root(4)), self.symbol(note_name, bass)
        return tuple(
            name
            for name in dict.fromkeys(
                [_plain(main), *(other.format(root) + slash for other in self.kind.others)]
            )
            if name != main
        )

    def _slash(self, note_name: Callable[[Pitch], str]) -> str:
        return f"/{note_name(self.tones(4)[self.inversion])}" if self.inversion else ""


def _plain(name: str) -> str:
    for sign, typed in (("♯", "#"), ("♭", "b"), ("𝄪", "##"), ("𝄫", "bb")):
        name = name.replace(sign, typed)
    return name


@cache
def _tones(chord: Harmony, octave: int) -> tuple[Pitch, ...]:
    if chord.target:
        goal = harmony(chord.key, chord.target).root(octave)
        root = above(goal, "P5" if chord.degree == 5 else "-m2")
        tonic = semitone(chord.key.tonic_in(octave))
        while semitone(root) >= tonic + 12:
            root = above(root, "-P8")
        while semitone(root) < tonic:
            root = above(root, "P8")
    else:
        root = ascending(chord.key, _form(chord), octave)[chord.degree - 1]
    return tuple(above(root, tone) for tone in chord.kind.tones)


def _form(chord: Harmony) -> str:
    """The form of the scale that the root comes from."""
    if not chord.key.minor:
        return "major"
    return "melodic" if chord.degree in (6, 7) and chord.quality in _RAISED else "natural"


@cache
def harmony(key: Key, numeral: str) -> Harmony:
    """The chord that a numeral asks for, with the quality that the key's mode gives it.

    ``"I"`` in a minor key is ``i``, ``"ii6"`` is ``ii°6``, ``"V"`` stays major; ``"v"``,
    ``"VII"`` and ``"III+"`` are taken as written in minor, and are V, vii° and iii in major.
    Raises ValueError with a message for the teacher.
    """
    written = numerals.parse(numeral)
    if written.target:
        return _applied(key, written, written.target)
    own = qualities(key.mode, written.degree, written.seventh)
    other = qualities("major" if key.minor else "minor", written.degree, written.seventh)
    if any(_fits(written, name) for name in (own[0], other[0])):
        name = own[0]
    elif any(_fits(written, name) for name in own[1:] + other[1:]):
        name = next((name for name in own[1:] if _fits(written, name)), own[0])
    elif written.degree == 7 and not written.upper and not written.sign:
        name = own[0]  # the sign is often left out: vii for vii°
    else:
        raise ValueError(
            f'"{numeral}" is not a chord of a major or minor key; write {_instead(written)}'
        )
    return Harmony(key, written.degree, name, written.inversion)


def _fits(written: numerals.Written, quality: str) -> bool:
    kind = QUALITIES[quality]
    return kind.upper == written.upper and kind.sign == written.sign


def _instead(written: numerals.Written) -> str:
    found = []
    for mode in ("major", "minor"):
        name = qualities(mode, written.degree, written.seventh)[0]
        found.append(Harmony(Key("C", mode), written.degree, name, written.inversion).numeral)
    return " or ".join(dict.fromkeys(found))


def _applied(key: Key, written: numerals.Written, target: numerals.Written) -> Harmony:
    goal = harmony(key, target.text)
    if goal.degree == 1 or goal.quality not in ("major", "minor"):
        raise ValueError(
            f'"{written.text}": in {key.mode} keys {goal.numeral} has no dominant of '
            f"its own; write {_targets(key)} after the slash"
        )
    name = {5: "dominant seventh" if written.seventh else "major", 7: "diminished"}.get(
        written.degree, ""
    )
    if written.degree == 7 and written.seventh:
        half = goal.quality == "major" and written.sign != "°"
        name = "half-diminished seventh" if half else "diminished seventh"
    loose = written.degree == 7 and not written.upper and written.sign != "+"
    if not name or not (loose or _fits(written, name)):
        raise ValueError(
            f'"{written.text}" is not a dominant; write V, V7, vii° or vii°7 before the slash'
        )
    return Harmony(key, written.degree, name, written.inversion, goal.numeral)


def _targets(key: Key) -> str:
    own = [Harmony(key, n, qualities(key.mode, n, False)[0]) for n in range(2, 8)]
    names = [chord.numeral for chord in own if chord.quality in ("major", "minor")]
    return ", ".join(names[:-1]) + " or " + names[-1]


def inversion(chord: tuple[Pitch, ...], number: int) -> tuple[Pitch, ...]:
    """The chord with its lowest ``number`` notes moved up an octave, low to high."""
    return chord[number:] + tuple(above(p, "P8") for p in chord[:number])


def position(voicing: tuple[Pitch, ...], root: Pitch) -> str:
    """``"root"``, ``"1st"``, ``"2nd"`` or ``"3rd"``: which chord tone is lowest.

    Raises ValueError for a note that is not in a chord on ``root``.
    """
    steps = ("CDEFGAB".index(letter(voicing[0])) - "CDEFGAB".index(letter(root))) % 7
    if steps not in (0, 2, 4, 6):
        raise ValueError(f"{voicing[0]} is not in the chord on {root}")
    return POSITIONS[steps // 2]
