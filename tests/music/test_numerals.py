"""Numerals as a teacher writes them: what is understood, in which key, and what is refused."""

import pytest
from finder import vocabulary

from workbook.music.chords import harmony
from workbook.music.keys import ALL_KEYS, parse_key
from workbook.music.numerals import parse, split
from workbook.music.pitch import scientific
from workbook.music.progressions import chords


def tones(key, numeral):
    chord = harmony(parse_key(key), numeral)
    return chord.numeral, "".join(scientific(p)[:-1] for p in chord.close(4))


# Worked by hand.
@pytest.mark.parametrize(
    "key, numeral, printed, notes",
    [
        ("C major", "ii6", "ii6", "FAD"),
        ("C major", "V65", "V6/5", "BDFG"),
        ("C major", "V2", "V4/2", "FGBD"),
        ("C major", "vii", "vii°", "BDF"),
        ("C major", "viio6", "vii°6", "DFB"),
        ("C major", "V7/V", "V7/V", "DF#AC"),
        ("C major", "viio7/vi", "vii°7/vi", "G#BDF"),
        ("C major", "vii7/V", "viiø7/V", "F#ACE"),
        ("C major", "I6/4", "I6/4", "GCE"),
        ("C major", "IV7", "IV7", "FACE"),
        ("A minor", "I", "i", "ACE"),
        ("A minor", "vi", "VI", "FAC"),
        ("A minor", "ii6", "ii°6", "DFB"),
        ("A minor", "V7", "V7", "EG#BD"),
        ("A minor", "vii7", "vii°7", "G#BDF"),
        ("A minor", "v", "v", "EGB"),
        ("A minor", "VII", "VII", "GBD"),
        ("A minor", "III+", "III+", "CEG#"),
        ("A minor", "III", "III", "CEG"),
        ("A minor", "ii65", "iiø6/5", "DFAB"),
        ("A minor", "V43/V", "V4/3/V", "F#ABD#"),
        ("A minor", "viiø7/iv", "vii°7/iv", "C#EGBb"),
        ("G# minor", "V7", "V7", "D#F##A#C#"),
        ("Cb major", "IV", "IV", "FbAbCb"),
    ],
)
def test_what_a_numeral_means(key, numeral, printed, notes):
    assert tones(key, numeral) == (printed, notes)


def test_one_text_serves_both_modes():
    text = "I vi ii6 V7/V V7 I"
    assert [c.numeral for c in chords(parse_key("D major"), text)] == [
        "I",
        "vi",
        "ii6",
        "V7/V",
        "V7",
        "I",
    ]
    assert [c.numeral for c in chords(parse_key("D minor"), text)] == [
        "i",
        "VI",
        "ii°6",
        "V7/V",
        "V7",
        "i",
    ]
    minor = "i VI ii°6 V7 i"
    assert [c.numeral for c in chords(parse_key("D major"), minor)] == ["I", "vi", "ii6", "V7", "I"]


@pytest.mark.parametrize(
    "numeral, words",
    [
        ("H", "is not a Roman numeral"),
        ("IIX", "is not a Roman numeral"),
        ("iV", "is not a Roman numeral"),
        ("", "is not a Roman numeral"),
        ("V/", "is not a Roman numeral"),
        ("IIII", "is not a Roman numeral"),
        ("I9", "write 6, 6/4, 7, 6/5, 4/3 or 4/2"),
        ("III°", "write iii or III"),
        ("I+", "write I or i"),
        ("iv°", "write IV or iv"),
        ("V7/vii", "after the slash"),
        ("V7/I", "after the slash"),
        ("ii/V", "before the slash"),
        ("v7/V", "before the slash"),
        ("N6", "is borrowed or altered"),
        ("bII6", "is borrowed or altered"),
        ("♭VI", "is borrowed or altered"),
        ("Ger6/5", "is borrowed or altered"),
        ("V" * 400, "is not a Roman numeral"),
        ("\\relax", "is not a Roman numeral"),
    ],
)
def test_what_is_refused(numeral, words):
    with pytest.raises(ValueError, match=words.replace("+", r"\+")) as error:
        harmony(parse_key("C major"), numeral)
    assert len(str(error.value)) < 160


def test_a_chord_that_one_mode_has_not():
    assert harmony(parse_key("C major"), "V7/ii").numeral == "V7/ii"
    with pytest.raises(ValueError, match="in minor keys ii° has no dominant"):
        harmony(parse_key("C minor"), "V7/ii")


def test_progressions_are_taken_apart():
    assert split("I – IV, V7 | I") == ("I", "IV", "V7", "I") == split("I-IV-V7-I")
    with pytest.raises(ValueError, match="no chords"):
        split("  ")
    with pytest.raises(ValueError, match="1 chord "):
        split("V7")
    with pytest.raises(ValueError, match="write 2 to"):
        split("I V " * 20)
    with pytest.raises(ValueError) as error:
        split("I H V9 I")
    assert len(str(error.value).split("\n")) == 2


def test_printed_numerals_are_read_back():
    """What is printed means the chord again, but for those that the mode's own displace."""
    for key in ALL_KEYS:
        for chord in vocabulary(key):
            parse(chord.numeral)
            if (
                chord.target
                or not key.minor
                or chord.quality in ("diminished", "diminished seventh")
            ):
                again = harmony(key, chord.numeral)
                if not (chord.degree == 7 and not chord.target and chord.kind.seventh):
                    assert again == chord


def test_other_numerals_and_names():
    chord = harmony(parse_key("F# minor"), "viio43")
    assert chord.other_numerals == ("vii°43", "viio4/3", "viio43")
    assert (chord.symbol(), chord.symbol(bass=True)) == ("E♯°7", "E♯°7/B")
    assert {"E♯dim7", "E#°7"} <= set(chord.other_symbols())
    assert harmony(parse_key("C major"), "V42/V").other_numerals == (
        "V42/V",
        "V2/V",
        "V4/2 of V",
        "V42 of V",
        "V2 of V",
    )
    assert harmony(parse_key("C major"), "V7").other_numerals == ()
    assert chord.lettered_numerals == ("vii°7c", "viio7c")
    assert harmony(parse_key("C major"), "I6").lettered_numerals == ("Ib",)
    assert harmony(parse_key("C major"), "V7/V").lettered_numerals == ("V7a/V", "V7a of V")
