"""Published fingerings, as digits from the lowest note up, and a lookup of them.

Sources:
- BERINGER: O. Beringer and T. Dunhill, manual of scales and arpeggios, 1900, as
  transcribed by D. Randolph in the open data set "pydactyl" (github.com/dvdrndlph/
  pydactyl, data/corpora/beringer2): twelve major scales, arpeggios of 23 keys in
  three positions (its file for B major holds B flat major), dominant and diminished
  sevenths of twelve keys in four positions. It has notes, no fingers, for minor
  and chromatic scales.
- EVANSVILLE: "Scale and Arpeggio Fingerings", University of Evansville faculty page
  gu2/scales.htm: scales of all keys, two octaves; right hand of the chromatic scale.
- PEGOURIE: M. Pegourie-Gonnard, "pypiano-fingers", file ref-scales-harmonic, 2019:
  24 keys, harmonic minor, one octave.

A fingering belongs to piano keys, so the lookup goes by the tonic's piano key (0 for C to
11) and mode: C flat major has B major's. Where a table has two octaves, one octave is its
beginning with the last finger (left hand: its end with the first), and more octaves repeat
the middle. Common practice, no source.
"""

from collections import defaultdict

from music21 import pitch as m21pitch

# key, right, left; then the source's own alternatives, "" if none. Two octaves up.
BERINGER_SCALES = [
    ("C major", "123123412312345", "543213214321321", "", ""),
    ("G major", "123123412312345", "543213214321321", "", ""),
    ("D major", "123123412312345", "543213214321321", "", ""),
    ("A major", "123123412312345", "543213214321321", "", ""),
    ("E major", "123123412312345", "543213214321321", "", ""),
    ("B major", "123123412312345", "432143213214321", "", ""),
    ("F# major", "234123123412312", "432132143213212", "", "432132143213214"),
    ("Db major", "231234123123412", "321432132143212", "", ""),
    ("Ab major", "231231234123123", "321432132143212", "341231234123123", "321432132143213"),
    ("Eb major", "212341231234123", "321432132143212", "312341231234123", "321432132143213"),
    ("Bb major", "212312341231234", "321432132143212", "", "321432132143213"),
    ("F major", "123412312341234", "543213214321321", "", ""),
]

# key, right, left in root position, 1st and 2nd inversion; alternatives likewise.
BERINGER_ARPEGGIOS = [
    ("C major", "1231235 1241245 1241245", "5421421 5421421 5321321"),
    ("G major", "1231235 1241245 1241245", "5421421 5421421 5321321"),
    (
        "D major",
        "1231235 2124124 1241245",
        "5321321 4214212 5321321",
        "",
        "5321321 3213212 5321321",
    ),
    (
        "A major",
        "1231235 2124124 1241245",
        "5321321 4214212 5321321",
        "",
        "5321321 3213212 5321321",
    ),
    (
        "E major",
        "1231235 2124124 1241245",
        "5321321 4214212 5321321",
        "",
        "5321321 3213212 5321321",
    ),
    ("F# major", "1231235 1241245 1241245", "5321321 5421421 5321321"),
    (
        "Db major",
        "2124124 1241245 2412412",
        "2142142 5421421 4214212",
        "",
        "3142142 5421421 4214212",
    ),
    (
        "Ab major",
        "2124124 1241245 2412412",
        "2142142 5421421 4214212",
        "",
        "3142142 5421421 4214212",
    ),
    (
        "Eb major",
        "2124124 1241245 2412412",
        "2142142 5421421 4214212",
        "",
        "3142142 5421421 4214212",
    ),
    ("Bb major", "2124124 1241245 1241245", "3213212 5421421 5321321"),
    ("F major", "1231235 1241245 1241245", "5421421 5421421 5321321"),
    (
        "C minor",
        "1231235 2124124 1231235",
        "5421421 4214212 5321321",
        "1231235 2123123 1231235",
        "",
    ),
    (
        "G minor",
        "1231235 2124124 1231235",
        "5421421 4214212 5321321",
        "1231235 2123123 1231235",
        "",
    ),
    ("D minor", "1231235 1241245 1241245", "5421421 5421421 5321321"),
    ("A minor", "1231235 1241245 1241245", "5421421 5421421 5321321"),
    ("E minor", "1231235 1241245 1241245", "5421421 5421421 5321321"),
    ("B minor", "1231235 1241245 2123123", "5421421 5421421 4214212"),
    ("F# minor", "2124124 1241245 2412412", "3142142 5421421 4214212"),
    (
        "C# minor",
        "2124124 1241245 2412412",
        "2142142 5421421 4214212",
        "2124124 1241245 2412413",
        "3142142 5421421 4214212",
    ),
    (
        "G# minor",
        "2124124 1241245 2412412",
        "2142142 5421421 4214212",
        "",
        "3142142 5421421 4214212",
    ),
    ("Eb minor", "1231235 1241245 1231235", "5421421 5421421 5321321"),
    (
        "Bb minor",
        "2312312 2123123 1231235",
        "3213212 2132132 5321321",
        "2312313 2123123 1231235",
        "3213212 3132132 5321321",
    ),
    (
        "F minor",
        "1231235 2123123 1231235",
        "5421421 4214212 5321321",
        "1231235 2124124 1231235",
        "",
    ),
]

# The key whose dominant it is; right, left in root position and three inversions.
BERINGER_DOMINANT = [
    ("C", "123412345 123412345 123412345 123412345", "543214321 543214321 543214321 543214321"),
    ("G", "123412345 212341234 123412345 123412345", "543214321 432143212 543214321 543214321"),
    ("D", "123412345 212341234 123412345 123412345", "543214321 432143212 543214321 543214321"),
    ("A", "123412345 212341234 123412345 123412345", "543214321 432143212 543214321 543214321"),
    ("E", "123412345 231234123 212341234 123412345", "543214321 432143212 321432132 543214321"),
    (
        "B",
        "234123412 231234123 212341234 123412345",
        "432143212 321432132 214321432 543214321",
        "",
        "432143212 321432132 314321432 543214321",
    ),
    (
        "F#",
        "212341234 123412345 212341234 123412345",
        "432143212 543214321 432143212 543214321",
        "",
        "214321432 543214321 432143212 321432143",
    ),
    ("Db", "212341234 123412345 234123412 231234123", "214321432 543214321 432143212 321432132"),
    ("Ab", "212341234 123412345 234123412 231234123", "214321432 543214321 432143212 321432132"),
    ("Eb", "212341234 123412345 123412345 231234123", "321432132 543214321 543214321 432143212"),
    ("Bb", "123412345 123412345 123412345 212341234", "543214321 543214321 543214321 432143212"),
    ("F", "123412345 123412345 123412345 212341234", "543214321 543214321 543214321 432143212"),
]

# The key whose leading note is the root.
BERINGER_DIMINISHED = [
    ("B", "231234123 212341234 123412345 123412345", "432143212 321432132 543214321 543214321"),
    ("C", "123412345 123412345 123412345 212341234", "543214321 543214321 543214321 432143212"),
    ("Db", "123412345 231234123 212341234 123412345", "543214321 432143212 321432132 543214321"),
    ("D", "212341234 123412345 123412345 231234123", "321432132 543214321 543214321 432143212"),
    ("Eb", "123412345 123412345 212341234 123412345", "543214321 543214321 432143212 543214321"),
    ("E", "231234123 212341234 123412345 123412345", "432143212 321432132 543214321 543214321"),
    ("F", "123412345 123412345 231234123 212341234", "543214321 543214321 432143212 321432132"),
    ("F#", "123412345 212341234 123412345 123412345", "543214321 432143212 543214321 543214321"),
    ("G", "212341234 123412345 123412345 231234123", "321432132 543214321 543214321 432143212"),
    ("Ab", "123412345 231234123 212331234 123412345", "543214321 432143212 321432132 543214321"),
    ("A", "212341234 123412345 123412345 123412345", "432143212 543214321 543214321 543214321"),
    ("Bb", "123412345 123412345 231234123 212341234", "543214321 543214321 432143212 321432132"),
]

# Broken chords of four notes in root position, first and second inversion: right, left; then
# the source's own alternatives. Its file for F major holds F minor. Going up; coming down it has
# the same fingers, but for B minor's first inversion (1245).
_BROKEN_MAJOR = ("1235 1245 1245", "5321 5421 5321")
_BROKEN_MINOR = ("1235 1245 1235", "5421 5421 5321")
BERINGER_BROKEN = [
    ("C major", "1235 1245 1245", "5421 5421 5321", "", ""),
    ("G major", "1235 1245 1245", "5421 5421 5321", "", ""),
    *((name, *_BROKEN_MAJOR, "", "") for name in ("B major", "F# major")),
    *(
        (name, *_BROKEN_MAJOR, "1235 2124 1245", "5321 4212 5321")
        for name in ("D major", "A major", "E major")
    ),
    *(
        (name, *_BROKEN_MAJOR, "2124 1245 1245", "5321 5421 4212")
        for name in ("Db major", "Ab major", "Eb major")
    ),
    ("Bb major", *_BROKEN_MAJOR, "2124 1245 1245", ""),
    *(
        (name, *_BROKEN_MINOR, "", "")
        for name in ("A minor", "D minor", "E minor", "Eb minor", "Bb minor")
    ),
    *(
        (name, *_BROKEN_MINOR, "1235 2124 1235", "5421 4212 5321")
        for name in ("C minor", "G minor", "F minor")
    ),
    *(
        (name, *_BROKEN_MINOR, "2124 1245 1235", "5421 5421 4212")
        for name in ("F# minor", "C# minor", "G# minor")
    ),
    ("B minor", "1235 1345 1235", "5421 5421 5321", "1235 1345 2124", "5421 5421 4212"),
]

# Triads in close position, any key: "Fingerings for Triads", musicfanfare.com.
MUSICFANFARE_TRIADS = {
    "right": {"root": ("135",), "1st": ("125", "135"), "2nd": ("135",)},
    "left": {"root": ("531",), "1st": ("531",), "2nd": ("521",)},
}

# keys, right, left; two octaves up, any minor form.
EVANSVILLE = [
    ("C major, G major, D major, A major, E major", "123123412312345", "543213214321321"),
    ("C minor, G minor, D minor, A minor, E minor", "123123412312345", "543213214321321"),
    ("F major, F minor", "123412312341231", "543213214321321"),
    ("B minor", "123123412312345", "132143213214321"),
    ("B major", "123123412312341", "132143213214321"),
    ("F# major", "234123123412312", "432132143213214"),
    ("C# major", "231234123123412", "321432132143213"),
    ("Ab major, G# minor, C# minor", "341231234123123", "321432132143213"),
    ("F# minor", "341231234123123", "432132143213214"),
    ("Eb major", "312341231234123", "321432132143213"),
    ("Bb major", "412312341231234", "321432132143213"),
    ("Eb minor", "312341231234123", "214321321432132"),
    ("Bb minor", "412312341231234", "213214321321432"),
]
EVANSVILLE_CHROMATIC = "13131231313123"  # right hand, from C
# Of its arpeggio rule only the keys it names: C, D, E, F, G, A, B, F# major and
# C, D, Eb, E, F, G, A, B minor, two octaves without the turn at the top.
EVANSVILLE_ARPEGGIO = ("1231231", "5421421")
EVANSVILLE_ARPEGGIO_KEYS = {"major": "C D E F G A B F#", "minor": "C D Eb E F G A B"}

PEGOURIE = {  # right, left; one octave up
    "12312345 54321321": "C major, A minor, G major, E minor, D major, A major, E major, "
    "C minor, G minor, D minor",
    "12312345 13214321": "B minor, B major",
    "34123123 43213214": "F# minor",
    "34123123 32143213": "C# minor, Ab minor, Ab major",
    "23412312 43213214": "F# major",
    "31234123 21432132": "Eb minor",
    "23123412 32143213": "Db major",
    "41231234 21321432": "Bb minor",
    "12341231 54321321": "F minor, F major",
    "31234123 32143213": "Eb major",
    "41231234 32143213": "Bb major",
}


def _pc(tonic: str) -> int:
    return m21pitch.Pitch(tonic.replace("b", "-")).pitchClass


def _named(name: str) -> tuple[int, str]:
    tonic, mode = name.split()
    return _pc(tonic), mode


def _over(digits: str, hand: str, had: int, octaves: int) -> str | None:
    """Digits of ``had`` octaves over ``octaves``, None where they do not tell."""
    each = (len(digits) - 1) // had
    if had == 1:
        return digits if octaves == 1 else None
    if hand == "right":
        return digits[:each] + digits[each:-1] * (octaves - 1) + digits[-1]
    return digits[0] + digits[1 : each + 1] * (octaves - 1) + digits[each + 1 :]


_ANY_MINOR = ("natural", "harmonic", "melodic")
# Evansville does not say which minor form it means; these three it cannot mean, since the
# thumb would be on a black key (test_fingering_tables.py).
_NOT_MEANT = {(8, "natural", "left"), (1, "melodic", "right"), (6, "melodic", "right")}


_TURNS = {5, 11}
"""F and B major end on 4 and 5 in the right hand. Evansville and Pegourie have the thumb
there, as if the scale went on; Beringer and Dunhill have not. It is not accepted."""


def _ending(digits: str, tonic: int, mode: str, hand: str) -> str:
    """The digits with "?" for a thumb at the top that only leads on."""
    return digits[:-1] + "?" if mode == "major" and hand == "right" and tonic in _TURNS else digits


def _tables():
    """Found digits: subject and hand to (octaves, digits). Subjects are ("scale", piano key,
    form), ("arpeggio", piano key, mode, position), (kind of seventh, piano key of its root)."""
    found = defaultdict(list)
    for name, right, left, also_right, also_left in BERINGER_SCALES:
        for hand, every in (("right", (right, also_right)), ("left", (left, also_left))):
            found["scale", _named(name)[0], "major", hand] += [(2, d) for d in every if d]
    for names, right, left in EVANSVILLE:
        for tonic, mode in map(_named, names.split(", ")):
            for form in _ANY_MINOR if mode == "minor" else ("major",):
                for hand, digits in (("right", right), ("left", left)):
                    if (tonic, form, hand) not in _NOT_MEANT:
                        found["scale", tonic, form, hand].append(
                            (2, _ending(digits, tonic, mode, hand))
                        )
    for digits, names in PEGOURIE.items():
        for tonic, mode in map(_named, names.split(", ")):
            for hand, own in zip(("right", "left"), digits.split()):
                form = "harmonic" if mode == "minor" else "major"
                found["scale", tonic, form, hand].append((1, _ending(own, tonic, mode, hand)))
    for name, *columns in BERINGER_ARPEGGIOS:
        for hand, text in zip(("right", "left") * 2, columns):
            for position, digits in zip(("root", "1st", "2nd"), text.split()):
                found["arpeggio", *_named(name), position, hand].append((2, digits))
    for mode, tonics in EVANSVILLE_ARPEGGIO_KEYS.items():
        for tonic in tonics.split():
            right, left = EVANSVILLE_ARPEGGIO
            found["arpeggio", _pc(tonic), mode, "root", "left"].append((2, left))
            found["arpeggio", _pc(tonic), mode, "root", "right"].append((2, right[:-1] + "?"))
    for table, kind, step in (
        (BERINGER_DOMINANT, "dominant", 7),
        (BERINGER_DIMINISHED, "diminished", 11),
    ):
        for name, *columns in table:
            root = (_pc(name) + step) % 12
            for hand, text in zip(("right", "left") * 2, columns):
                positions = ("root", "1st", "2nd", "3rd") if kind == "dominant" else ("root",)
                for position, digits in zip(positions, text.split()):
                    subject = (position,) if kind == "dominant" else ()
                    found[kind, root, *subject, hand].append((2, digits))
    return dict(found)


_FOUND = _tables()


def published(*subject, hand: str, octaves: int) -> list[str]:
    """Every published fingering of a run upwards, one digit a note, "?" where it has none."""
    digits = [_over(text, hand, had, octaves) for had, text in _FOUND.get((*subject, hand), [])]
    return list(dict.fromkeys(d for d in digits if d))


def published_broken(tonic: int, mode: str, position: str, hand: str, size: int) -> list[str]:
    """Every published fingering of a broken triad, or of a broken chord of four notes, upwards."""
    if size == 3:
        return list(MUSICFANFARE_TRIADS[hand][position])
    turn = ("root", "1st", "2nd").index(position)
    found = [
        text.split()[turn]
        for name, *columns in BERINGER_BROKEN
        for text in columns[("right", "left").index(hand) :: 2]
        if _named(name) == (tonic, mode) and text
    ]
    return list(dict.fromkeys(found))


def published_chromatic(piano_key: int) -> str:
    """The right hand's finger on a key of the piano, 0 for C to 11, in the chromatic scale."""
    return EVANSVILLE_CHROMATIC[piano_key or 12]  # the first C is the start of a run
