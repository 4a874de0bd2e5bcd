"""The fingering tables against published ones, digit by digit, every difference listed.

The sources are named in published.py.
"""

from published import (
    BERINGER_ARPEGGIOS,
    BERINGER_BROKEN,
    BERINGER_DIMINISHED,
    BERINGER_DOMINANT,
    BERINGER_SCALES,
    EVANSVILLE,
    EVANSVILLE_ARPEGGIO,
    EVANSVILLE_ARPEGGIO_KEYS,
    EVANSVILLE_CHROMATIC,
    PEGOURIE,
)

from workbook.fingering.conventions import traditional
from workbook.music.keys import ALL_KEYS, parse_key
from workbook.music.pitch import above, pitch, semitone
from workbook.music.scales import scale_forms

TABLE = traditional()


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
    return tuple(
        dict.fromkeys(
            (v[:7] + v[-1]) if hand == "right" else v[0] + v[8:]
            for v in TABLE.versions(subject, hand)
        )
    )


def test_beringer_scales():
    count = Count()
    for name, right, left, *_ in BERINGER_SCALES:
        for hand, theirs in (("right", right), ("left", left)):
            count.add(
                (name, hand), theirs, TABLE.versions(("scale", parse_key(name), "major"), hand)
            )
    assert count.counts == (17, 7, 0)


def test_evansville_scales():
    count = Count()
    for names, right, left in EVANSVILLE:
        for key in keys(names):
            for form in scale_forms(key):
                for hand, theirs in (("right", right), ("left", left)):
                    count.add(
                        (key.ascii, form, hand), theirs, TABLE.versions(("scale", key, form), hand)
                    )
    # The page does not say which minor form it means. For melodic F# and C# minor the
    # right hand needs another fingering (D# and E#: thumb off the black key), and so
    # does the left hand of natural G# minor (F#), the page's being harmonic. At the top of
    # F and B major we do not accept its thumb, which leads on to another octave.
    assert [what for what, _ in count.neither] == [
        ("F major", "major", "right"),
        ("B major", "major", "right"),
        ("G# minor", "natural", "left"),
        ("C# minor", "melodic", "right"),
        ("F# minor", "melodic", "right"),
    ]
    assert count.counts[:2] == (80, 11)


def test_evansville_chromatic():
    ours = "".join(f.finger for f in TABLE.chromatic(pitch("C4"), "right", 2)[:14])
    assert ours == EVANSVILLE_CHROMATIC


def test_evansville_arpeggios():
    """The page has one fingering for all keys it names; the fourth finger of the left
    hand is, after Beringer, the third where the chord's second note is black."""
    count = Count()
    for mode, tonics in EVANSVILLE_ARPEGGIO_KEYS.items():
        for tonic in tonics.split():
            subject = ("arpeggio", parse_key(f"{tonic} {mode}"), "root")
            for hand, theirs in zip(("right", "left"), EVANSVILLE_ARPEGGIO):
                ours = tuple(
                    v[:6] + "1" if hand == "right" else v for v in TABLE.versions(subject, hand)
                )
                count.add((tonic, mode, hand), theirs, ours)
    assert count.counts == (27, 5, 0), count.neither


def test_pegourie_scales():
    count = Count()
    for digits, names in PEGOURIE.items():
        for key in keys(names):
            subject = ("scale", key, "harmonic" if key.minor else "major")
            for hand, theirs in zip(("right", "left"), digits.split()):
                count.add((key.ascii, hand), theirs, one_octave(subject, hand))
    # the thumb at the top of F major, as in Evansville, is not accepted
    assert [what for what, _ in count.neither] == [("F major", "right")]
    assert count.counts[:2] == (42, 5)


def test_beringer_arpeggios():
    count = Count()
    for name, right, left, *_ in BERINGER_ARPEGGIOS:
        for hand, digits in (("right", right), ("left", left)):
            for position, theirs in zip(("root", "1st", "2nd"), digits.split()):
                count.add(
                    (name, position, hand),
                    theirs,
                    TABLE.versions(("arpeggio", parse_key(name), position), hand),
                )
    assert count.counts == (127, 11, 0), count.neither


def test_beringer_alternatives():
    """Every other fingering that Beringer gives for a tonic arpeggio is accepted too."""
    count = Count()
    for name, *digits in BERINGER_ARPEGGIOS:
        for hand, text in zip(("right", "left"), digits[2:]):
            for position, theirs in zip(("root", "1st", "2nd"), text.split()):
                count.add(
                    (name, position, hand),
                    theirs,
                    TABLE.versions(("arpeggio", parse_key(name), position), hand),
                )
    assert not count.neither


def test_beringer_broken_chords():
    """All of them are accepted; the first choices are theirs, but for B minor's 1345."""
    count = Count()
    for name, *columns in BERINGER_BROKEN:
        for hand, text, first in zip(("right", "left") * 2, columns, (True, True, False, False)):
            for position, theirs in zip(("root", "1st", "2nd"), text.split()):
                ours = TABLE.versions(("broken chord", parse_key(name), position), hand)
                assert theirs in ours
                if first:
                    count.add((name, position, hand), theirs, ours)
    assert count.counts == (137, 1, 0)


def test_beringer_sevenths():
    count = Count()
    for table, kind, step in (
        (BERINGER_DOMINANT, "dominant", "P5"),
        (BERINGER_DIMINISHED, "diminished", "M7"),
    ):
        for name, right, left, *_ in table:
            root = above(pitch(name + "4"), step)
            for hand, digits in (("right", right), ("left", left)):
                ours = TABLE.seventh_arpeggio(root, kind, hand, 2)[:9]
                count.add((kind, name, hand), digits.split()[0], ("".join(f.finger for f in ours),))
    assert count.counts == (48, 0, 0), count.neither


def test_beringer_dominant_inversions():
    """Each of its fingerings in the three inversions, alternatives too, is in the table."""
    count = Count()
    for name, *columns in BERINGER_DOMINANT:
        root = above(pitch(name + "4"), "P5")
        for hand, digits in zip(("right", "left") * 2, columns):
            for position, theirs in zip(("1st", "2nd", "3rd"), digits.split()[1:]):
                subject = ("seventh inversion", position, semitone(root) % 12)
                count.add((name, position, hand), theirs, TABLE.versions(subject, hand))
    assert count.first >= 72 and not count.neither


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
            for form in scale_forms(key):
                assert TABLE.versions(("scale", key, form), hand)
            for position in ("root", "1st", "2nd"):
                assert TABLE.versions(("arpeggio", key, position), hand)
