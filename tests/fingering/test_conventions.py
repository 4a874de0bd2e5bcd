"""The fingering table: complete, asked in every way, and a teacher's own file over it.

tests/outside/test_fingering_tables.py compares it with published tables.
"""

import pytest

from workbook.errors import InputError
from workbook.fingering.conventions import load, stretch, traditional
from workbook.fingering.search import best_chords
from workbook.fingering.table import SHAPES
from workbook.music.chords import POSITIONS, harmony, inversion
from workbook.music.keys import ALL_KEYS, parse_key
from workbook.music.pitch import pitch
from workbook.music.scales import scale_forms

TABLE = traditional()


def up(key, form, hand, octaves):
    return "".join(f.finger for f in TABLE.scale(key, form, hand, octaves)[: 7 * octaves + 1])


@pytest.mark.parametrize(
    "name, form, right, left",
    [
        ("C major", "major", "12312345", "54321321"),
        ("Bb major", "major", "41231234", "32143213"),
        ("F# minor", "harmonic", "34123123", "43213212"),
    ],
)
def test_one_octave_check_values(name, form, right, left):  # common practice, no source
    key = parse_key(name)
    assert (up(key, form, "right", 1), up(key, form, "left", 1)) == (right, left)


@pytest.mark.parametrize(
    "name, right, left",
    [
        ("C major", "1235321", "5421245"),
        ("D major", "1235321", "5321235"),
        ("Db major", "4124214", "2142412"),
        ("Ab major", "4124214", "2142412"),
        ("B minor", "1235321", "5421245"),
        ("Eb minor", "1235321", "5421245"),
    ],
)
def test_arpeggios(name, right, left):
    """D, B minor, E flat minor: Beringer and Dunhill 1900, in the data set pydactyl."""
    key = parse_key(name)
    assert "".join(f.finger for f in TABLE.arpeggio(key, "right")) == right
    assert "".join(f.finger for f in TABLE.arpeggio(key, "left")) == left


@pytest.mark.parametrize("key", ALL_KEYS, ids=str)
def test_every_key_has_an_arpeggio(key):
    assert all(len(TABLE.arpeggio(key, hand)) == 7 for hand in ("right", "left"))


def test_chord_shapes():  # common practice, no source
    shapes = {
        s: tuple("".join(f.finger for f in TABLE.chord(s, h)) for h in ("right", "left"))
        for s in SHAPES
    }
    assert shapes == {
        "root": ("135", "531"),
        "1st": ("125", "531"),
        "2nd": ("135", "521"),
        "v7-root": ("125", "531"),
        "v7-third": ("145", "521"),
        "v7-seventh": ("124", "541"),
    }


def test_f_g_b_is_played_with_the_fingers_of_f_a_c_in_place():
    """From F A D or F A C the fifth finger stays; common practice, no source."""
    versions = ["".join(v) for v in zip(*(f.versions for f in TABLE.chord("v7-seventh", "left")))]
    assert versions[:3] == ["541", "542", "531"]


def digits(fingers):
    return "".join(f.finger for f in fingers)


@pytest.mark.parametrize("key", ALL_KEYS, ids=str)
@pytest.mark.parametrize("octaves", [1, 2, 3, 4])
def test_lengths(key, octaves):
    for hand in ("right", "left"):
        for form in scale_forms(key):
            assert len(TABLE.scale(key, form, hand, octaves)) == 14 * octaves + 1
        for position in ("root", "1st", "2nd"):
            assert len(TABLE.arpeggio(key, hand, position, octaves)) == 6 * octaves + 1
        for kind in ("dominant", "diminished"):
            root = key.tonic_in(3)
            assert len(TABLE.seventh_arpeggio(root, kind, hand, octaves)) == 8 * octaves + 1
        assert len(TABLE.chromatic(key.tonic_in(3), hand, octaves)) == 24 * octaves + 1


def accepted(fingers):
    return {"".join(digits) for digits in zip(*(f.versions for f in fingers))}


def test_other_fingerings_that_are_accepted():
    """Those a teacher expects. Source of the chromatic one: see traditional.toml; of the
    rest: common practice, no source."""
    assert accepted(TABLE.chord("2nd", "left")) == {"521", "531"}
    for name in "C major", "G major", "F major", "A minor", "E minor", "D minor", "B minor":
        versions = TABLE.versions(("arpeggio", parse_key(name), "root"), "left")
        assert set(versions) >= {"5421421", "5321321"}, name
    for key in ALL_KEYS:
        for hand in ("right", "left"):
            versions = TABLE.versions(("arpeggio", key, "2nd"), hand)
            assert any("4" in digits for digits in versions), (key, hand)
            assert any("4" not in digits for digits in versions), (key, hand)
    for root, kind in (("Bb3", "dominant"), ("C#4", "diminished"), ("F#3", "diminished")):
        assert "321432123" not in accepted(TABLE.seventh_arpeggio(pitch(root), kind, "left"))
        assert "321434123" in accepted(TABLE.seventh_arpeggio(pitch(root), kind, "left"))
    up = {digits[:13] for digits in accepted(TABLE.chromatic(pitch("G4"), "right"))}
    assert up == {"1313123131231", "1234123131231"}
    down = {digits[12:] for digits in accepted(TABLE.chromatic(pitch("A3"), "left"))}
    assert down == {"1313123131231", "1234123131231"}


def test_no_thumb_at_the_top_of_f_and_b_major():
    for name in "F major", "B major", "Cb major":
        versions = TABLE.versions(("scale", parse_key(name), "major"), "right")
        assert versions and all(digits[-1] != "1" for digits in versions)


def test_the_second_finger_comes_first_at_the_top_of_f_sharp():
    """Left hand, major and minor; the fourth is accepted. Common practice, no source."""
    for name in "F# major", "Gb major", "F# minor":
        key = parse_key(name)
        for form in scale_forms(key):
            top = TABLE.scale(key, form, "left")[7]
            assert (top.finger, top.also) == ("2", ("4",)), (name, form)


def test_stretch_keeps_the_outer_finger_outside():
    assert stretch("123412345", "right", 1, 4) == "12345"
    assert stretch("321432132", "left", 1, 4) == "32132"
    assert stretch("321432132", "left", 3, 4) == "3214321432132"
    assert stretch("123412312341234", "right", 3, 7) == "1234123123412312341234"


def test_contrary_motion():  # common practice, no source: thumbs together in C
    key = parse_key("C major")
    assert digits(TABLE.contrary(key, "major", "right")) == "123123454321321"
    assert digits(TABLE.contrary(key, "major", "left")) == "123123454321321"
    key = parse_key("Bb major")
    assert digits(TABLE.contrary(key, "major", "left"))[:8] == "31234123"


@pytest.mark.parametrize(
    "start, right, left",
    [  # common practice, no source
        ("C4", "1313123131312", "1313213131321"),
        ("D4", "1312313131231", "1321313132131"),
        ("E4", "1231313123131", "2131313213132"),
        ("F4", "1313131231312", "1313132131321"),
        ("B3", "1231312313131", "2131321313132"),
        ("Ab3", "3131231312313", "3132131321313"),
    ],
)
def test_chromatic(start, right, left):
    assert digits(TABLE.chromatic(pitch(start), "right"))[:13] == right
    assert digits(TABLE.chromatic(pitch(start), "left"))[:13] == left


def test_five_fingers_and_sevenths():
    assert digits(TABLE.five_finger("right")) == "12345"
    assert digits(TABLE.five_finger("left")) == "54321"
    assert digits(TABLE.seventh_arpeggio(pitch("G3"), "dominant", "right")) == "123454321"
    assert digits(TABLE.seventh_arpeggio(pitch("Bb2"), "dominant", "left")) == "321323123"


@pytest.mark.parametrize("hand", ("right", "left"))
def test_seventh_chords_are_gripped_as_the_search_finds_easiest(hand):
    """In every key; each accepted grip has thumb and fifth finger outside."""
    for key in ALL_KEYS:
        chord = harmony(key, "V7")
        for number, position in enumerate(POSITIONS):
            notes = inversion(chord.tones(4), number)
            found = TABLE.seventh_chord(position, hand)
            assert digits(found) == best_chords([notes], hand)[0].fingers[0]
            for grip in zip(*(finger.versions for finger in found)):
                assert {grip[0], grip[-1]} == {"1", "5"}
                assert list(grip) == sorted(grip, reverse=hand == "left")


def own(tmp_path, text):
    path = tmp_path / "mine.toml"
    path.write_text(text, "utf-8")
    return path


def test_a_file_of_ones_own(tmp_path):
    table = load(
        own(
            tmp_path,
            """
[[scale]]
keys = ["Bb major"]
right = "212312341231234"

[[arpeggio]]
keys = "C major"
left = "5321321"
also_left = ["5421421"]
""",
        )
    )
    bb, c = parse_key("Bb major"), parse_key("C major")
    assert digits(table.scale(bb, "major", "right"))[:8] == "21231234"
    assert table.scale(bb, "major", "right")[0].also == ()
    assert table.scale(bb, "major", "left") == TABLE.scale(bb, "major", "left")
    assert digits(table.arpeggio(c, "left")) == "5321235"
    assert table.arpeggio(c, "left")[1].also == ("4",)
    assert table.scale(c, "major", "right") == TABLE.scale(c, "major", "right")


def test_every_problem_of_a_file_is_told_with_its_line(tmp_path):
    path = own(
        tmp_path,
        """\
scales = 1
[[scale]]
keys = ["H major", "A minor"]
forms = ["harmonc"]
right = "12312341231234"
[[scale]]
keys = ["C major"]
[[scale]]
keys = ["D major"]
right = "123123412312346"
also_right = "123123412312345"
[[scale]]
keys = ["E major"]
left = "543213214321321"
[[scale]]
keys = ["E major"]
left = "544213214321321"
fingers = 3
[[arpeggio]]
keys = ["E minor"]
position = "3rd"
right = "1231235"
[[seventh]]
kind = "dominant"
roots = ["X"]
right = "123412345"
[[chord]]
right = "135"
[chromatic]
right = "131313131313"
""",
    )
    with pytest.raises(InputError) as caught:
        load(path)
    told = [(p.place, p.what) for p in caught.value.problems]
    for line, words in [
        (1, "scales"),
        (3, "H major"),
        (4, "harmonc"),
        (5, "14 digits"),
        (6, "neither right nor left"),
        (10, "123123412312346"),
        (11, "also_right"),
        (17, "same finger"),
        (18, "fingers"),
        (21, "3rd"),
        (25, '"X"'),
        (27, '"shape" is missing'),
        (29, "not a list of tables"),
    ]:
        assert any(place == f"line {line}" and words in what for place, what in told), (
            line,
            words,
            told,
        )
    assert all(
        p.file == "mine.toml" and p.instead
        for p in caught.value.problems
        if "H major" not in p.what
    )


def test_an_entry_given_twice(tmp_path):
    entry = '[[chord]]\nshape = "root"\nright = "135"\n'
    with pytest.raises(InputError, match="line 6: root, right hand, appears twice"):
        load(own(tmp_path, entry + entry))
