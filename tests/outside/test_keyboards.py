"""Names and shaded keys of drawn keyboards, against music21's scales and numerals."""

from functools import cache

from music21 import chord as m21chord
from music21 import key as m21key
from music21 import roman as m21roman
from music21 import scale as m21scale
from reading import sample, spelled, theirs, theirs_key

SCALES = {
    "natural": m21scale.MinorScale,
    "harmonic": m21scale.HarmonicMinorScale,
    "melodic": m21scale.MelodicMinorScale,
}
TRIADS = {"tonic": ("I", "i"), "subdominant": ("IV", "iv"), "dominant": ("V", "V")}
COUNTS = ["", "one", "two", "three", "four", "five", "six", "seven"]
POSITIONS = {"root": 0, "1st": 1, "2nd": 2}


def check(exercise):
    """Names and keys are those of the scale or triad that the label asks for."""
    figure = exercise.figure
    low, high = theirs(figure.low), theirs(figure.high)
    notes = [theirs(p) for p in figure.marked or figure.shaded]
    assert low.name == high.name == "C" and high.ps - low.ps == 24
    assert all(low.ps <= p.ps <= high.ps for p in notes)
    assert [p.ps for p in notes] == sorted({p.ps for p in notes})
    expected = _expected(exercise.label, *theirs_key(exercise))
    names = [p.name for p in notes]
    if "Notes of" in exercise.label:
        assert set(names) <= set(expected) and len(set(names)) == len(names)
    elif "notes" in exercise.label:
        count = COUNTS.index(exercise.label.split("first ")[1].split(" notes")[0])
        assert names == list(expected)[:count] and notes[-1].ps - notes[0].ps < 12
    elif "scale" in exercise.label:
        assert names == list(expected) and notes[-1].ps - notes[0].ps == 12
    else:
        assert sorted(names) == sorted(expected) and notes[-1].ps - notes[0].ps < 12
    if exercise.family == "keyboard-names":
        assert [b.answer for b in exercise.blanks] == [spelled(p) for p in notes]
        return
    (blank,) = exercise.blanks
    assert blank.answer == " ".join(spelled(p) for p in notes) and not figure.marked
    assert notes[0].ps - 12 < low.ps  # an octave to the left it would not fit
    for words, inversion in POSITIONS.items():
        if words in exercise.label:
            assert m21chord.Chord(notes).inversion() == inversion


@cache
def _expected(label: str, tonic: str, mode: str) -> tuple[str, ...]:
    """The names, from the tonic up, that the words of the label stand for."""
    minor = mode == "minor"
    if "scale" in label:
        form = next((form for words, form in SCALES.items() if words in label), None)
        if minor and form is None:  # where all forms are alike
            assert label.split("first ")[1].split(maxsplit=1)[0] in ("three", "four", "five")
            form = m21scale.MinorScale
        scale = (form or m21scale.MajorScale)(tonic)
        assert (form is not None) == minor
        start = scale.tonic
        start.octave = 4
        return tuple(
            p.name
            for p in scale.getPitches(
                start, start.transpose("P8"), direction=m21scale.Direction.ASCENDING
            )
        )
    words = label.split(" triad", maxsplit=1)[0].rsplit(", ", maxsplit=1)[-1]
    numeral = m21roman.RomanNumeral(TRIADS[words][minor], m21key.Key(tonic, mode))
    return tuple(p.name for p in numeral.pitches)


def test_keyboard_names():
    for exercise in sample("keyboard-names"):
        check(exercise)


def test_keyboard_shading():
    for exercise in sample("keyboard-shading"):
        check(exercise)
