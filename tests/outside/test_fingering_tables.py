"""The fingering tables against published ones, digit by digit, every difference listed.

Sources, all as digits:
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
"""

from workbook.fingering.conventions import traditional
from workbook.music.keys import ALL_KEYS, parse_key
from workbook.music.pitch import above, pitch
from workbook.music.scales import forms

TABLE = traditional()

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
    ("D major", "1231235 2124124 1241245", "5321321 4214212 5321321",
     "", "5321321 3213212 5321321"),
    ("A major", "1231235 2124124 1241245", "5321321 4214212 5321321",
     "", "5321321 3213212 5321321"),
    ("E major", "1231235 2124124 1241245", "5321321 4214212 5321321",
     "", "5321321 3213212 5321321"),
    ("F# major", "1231235 1241245 1241245", "5321321 5421421 5321321"),
    ("Db major", "2124124 1241245 2412412", "2142142 5421421 4214212",
     "", "3142142 5421421 4214212"),
    ("Ab major", "2124124 1241245 2412412", "2142142 5421421 4214212",
     "", "3142142 5421421 4214212"),
    ("Eb major", "2124124 1241245 2412412", "2142142 5421421 4214212",
     "", "3142142 5421421 4214212"),
    ("Bb major", "2124124 1241245 1241245", "3213212 5421421 5321321"),
    ("F major", "1231235 1241245 1241245", "5421421 5421421 5321321"),
    ("C minor", "1231235 2124124 1231235", "5421421 4214212 5321321",
     "1231235 2123123 1231235", ""),
    ("G minor", "1231235 2124124 1231235", "5421421 4214212 5321321",
     "1231235 2123123 1231235", ""),
    ("D minor", "1231235 1241245 1241245", "5421421 5421421 5321321"),
    ("A minor", "1231235 1241245 1241245", "5421421 5421421 5321321"),
    ("E minor", "1231235 1241245 1241245", "5421421 5421421 5321321"),
    ("B minor", "1231235 1241245 2123123", "5421421 5421421 4214212"),
    ("F# minor", "2124124 1241245 2412412", "3142142 5421421 4214212"),
    ("C# minor", "2124124 1241245 2412412", "2142142 5421421 4214212",
     "2124124 1241245 2412413", "3142142 5421421 4214212"),
    ("G# minor", "2124124 1241245 2412412", "2142142 5421421 4214212",
     "", "3142142 5421421 4214212"),
    ("Eb minor", "1231235 1241245 1231235", "5421421 5421421 5321321"),
    ("Bb minor", "2312312 2123123 1231235", "3213212 2132132 5321321",
     "2312313 2123123 1231235", "3213212 3132132 5321321"),
    ("F minor", "1231235 2123123 1231235", "5421421 4214212 5321321",
     "1231235 2124124 1231235", ""),
]

# The key whose dominant it is; right, left in root position and three inversions.
BERINGER_DOMINANT = [
    ("C", "123412345 123412345 123412345 123412345", "543214321 543214321 543214321 543214321"),
    ("G", "123412345 212341234 123412345 123412345", "543214321 432143212 543214321 543214321"),
    ("D", "123412345 212341234 123412345 123412345", "543214321 432143212 543214321 543214321"),
    ("A", "123412345 212341234 123412345 123412345", "543214321 432143212 543214321 543214321"),
    ("E", "123412345 231234123 212341234 123412345", "543214321 432143212 321432132 543214321"),
    ("B", "234123412 231234123 212341234 123412345", "432143212 321432132 214321432 543214321",
     "", "432143212 321432132 314321432 543214321"),
    ("F#", "212341234 123412345 212341234 123412345", "432143212 543214321 432143212 543214321",
     "", "214321432 543214321 432143212 321432143"),
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

PEGOURIE = {  # right, left; one octave up
    "12312345 54321321": "C major, A minor, G major, E minor, D major, A major, E major, "
                         "C minor, G minor, D minor",
    "12312345 13214321": "B minor, B major",
    "34123123 43213214": "F# minor", "34123123 32143213": "C# minor, Ab minor, Ab major",
    "23412312 43213214": "F# major", "31234123 21432132": "Eb minor",
    "23123412 32143213": "Db major", "41231234 21321432": "Bb minor",
    "12341231 54321321": "F minor, F major", "31234123 32143213": "Eb major",
    "41231234 32143213": "Bb major",
}


def keys(text):
    return [parse_key(name) for name in text.split(", ")]


class Count:
    """How often a source's fingering is our first choice, an accepted one, or neither."""

    def __init__(self):
        self.first, self.accepted, self.neither = 0, 0, []

    def add(self, what, theirs, ours):
        if theirs == ours[0]:
            self.first += 1
        elif theirs in ours:
            self.accepted += 1
        else:
            self.neither.append((what, theirs))

    @property
    def counts(self):
        return self.first, self.accepted, len(self.neither)


def one_octave(subject, hand):
    return tuple(dict.fromkeys((v[:7] + v[-1]) if hand == "right" else v[0] + v[8:]
                               for v in TABLE.versions(subject, hand)))


def test_beringer_scales():
    count = Count()
    for name, right, left, *_ in BERINGER_SCALES:
        for hand, theirs in (("right", right), ("left", left)):
            count.add((name, hand), theirs,
                      TABLE.versions(("scale", parse_key(name), "major"), hand))
    assert count.counts == (16, 8, 0)


def test_evansville_scales():
    count = Count()
    for names, right, left in EVANSVILLE:
        for key in keys(names):
            for form in forms(key):
                for hand, theirs in (("right", right), ("left", left)):
                    count.add((key.ascii, form, hand), theirs,
                              TABLE.versions(("scale", key, form), hand))
    # The page does not say which minor form it means. For melodic F# and C# minor the
    # right hand needs another fingering (D# and E#: thumb off the black key), and so
    # does the left hand of natural G# minor (F#), the page's being harmonic.
    assert [what for what, _ in count.neither] == [
        ("G# minor", "natural", "left"), ("C# minor", "melodic", "right"),
        ("F# minor", "melodic", "right")]
    assert count.counts[:2] == (84, 9)


def test_evansville_chromatic():
    ours = "".join(f.finger for f in TABLE.chromatic(pitch("C4"), "right", 2)[:14])
    assert ours == EVANSVILLE_CHROMATIC


def test_evansville_arpeggios():
    """The page has one fingering for all keys it names; the fourth finger of the left
    hand is, after Beringer, the third where the chord's second note is black."""
    count = Count()
    for name in ("C D E F G A B F#", "C D Eb E F G A B"):
        mode = "minor" if "Eb" in name else "major"
        for tonic in name.split():
            subject = ("arpeggio", parse_key(f"{tonic} {mode}"), "root")
            for hand, theirs in zip(("right", "left"), EVANSVILLE_ARPEGGIO):
                ours = tuple(v[:6] + "1" if hand == "right" else v
                             for v in TABLE.versions(subject, hand))
                count.add((tonic, mode, hand), theirs, ours)
    assert count.counts == (27, 5, 0), count.neither


def test_pegourie_scales():
    count = Count()
    for digits, names in PEGOURIE.items():
        for key in keys(names):
            subject = ("scale", key, "harmonic" if key.minor else "major")
            for hand, theirs in zip(("right", "left"), digits.split()):
                count.add((key.ascii, hand), theirs, one_octave(subject, hand))
    assert count.counts == (44, 4, 0), count.neither


def test_beringer_arpeggios():
    count = Count()
    for name, right, left, *_ in BERINGER_ARPEGGIOS:
        for hand, digits in (("right", right), ("left", left)):
            for position, theirs in zip(("root", "1st", "2nd"), digits.split()):
                count.add((name, position, hand), theirs,
                          TABLE.versions(("arpeggio", parse_key(name), position), hand))
    assert count.counts == (127, 11, 0), count.neither


def test_beringer_alternatives():
    """Every other fingering that Beringer gives for a tonic arpeggio is accepted too."""
    count = Count()
    for name, *digits in BERINGER_ARPEGGIOS:
        for hand, text in zip(("right", "left"), digits[2:]):
            for position, theirs in zip(("root", "1st", "2nd"), text.split()):
                count.add((name, position, hand), theirs,
                          TABLE.versions(("arpeggio", parse_key(name), position), hand))
    assert not count.neither


def test_beringer_sevenths():
    count = Count()
    for table, kind, step in ((BERINGER_DOMINANT, "dominant", "P5"),
                              (BERINGER_DIMINISHED, "diminished", "M7")):
        for name, right, left, *_ in table:
            root = above(pitch(name + "4"), step)
            for hand, digits in (("right", right), ("left", left)):
                ours = TABLE.seventh_arpeggio(root, kind, hand, 2)[:9]
                count.add((kind, name, hand), digits.split()[0],
                          ("".join(f.finger for f in ours),))
    assert count.counts == (48, 0, 0), count.neither


def test_beringer_diminished_inversions():
    """An inversion of a diminished seventh is one on another root: 95 of 96 agree.

    The right hand in A flat, second inversion, has the third finger on two
    neighbouring notes there, a slip of the transcription.
    """
    count = Count()
    for name, right, left in BERINGER_DIMINISHED:
        root = above(pitch(name + "4"), "M7")
        for hand, digits in (("right", right), ("left", left)):
            note = root
            for theirs in digits.split():
                ours = TABLE.seventh_arpeggio(note, "diminished", hand, 2)[:9]
                count.add((name, hand), theirs, ("".join(f.finger for f in ours),))
                note = above(note, "m3")
    assert count.first == 95 and count.neither == [(("Ab", "right"), "212331234")]


def test_every_key_is_there():
    for key in ALL_KEYS:
        for hand in ("right", "left"):
            for form in forms(key):
                assert TABLE.versions(("scale", key, form), hand)
            for position in ("root", "1st", "2nd"):
                assert TABLE.versions(("arpeggio", key, position), hand)
