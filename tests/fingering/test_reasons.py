"""The few words of reason: hand-checked on scales that every teacher knows."""

from workbook.fingering.conventions import traditional
from workbook.fingering.reasons import chief, crossings, reasons
from workbook.music.keys import parse_key
from workbook.music.scales import ascending, descending


def reasons_of(name, hand, form="major"):
    key = parse_key(name)
    notes = ascending(key, form, 4) + descending(key, form, 4)[1:]
    fingers = [f.finger for f in traditional().scale(key, form, hand)]
    return notes, fingers, reasons(notes, fingers, hand)


def test_right_hand_of_b_flat():  # 4 1 2 3 1 2 3 4 | 3 2 1 3 2 1 4
    assert reasons_of("Bb major", "right")[2] == [
        (1, "thumb under after 4"),
        (4, "thumb under after 3"),
        (7, "4 on B♭"),
        (11, "3 over"),
        (14, "4 over"),
    ]


def test_left_hand_of_c():  # 5 4 3 2 1 3 2 1 | 2 3 1 2 3 4 5
    assert reasons_of("C major", "left")[2] == [
        (1, "4 on D"),
        (5, "3 over"),
        (10, "thumb under after 3"),
        (13, "4 on D"),
    ]


def test_chief():
    found = reasons_of("Bb major", "right")[2]
    assert chief(found, 3) == [(1, "thumb under after 4"), (7, "4 on B♭"), (11, "3 over")]
    assert chief(found, 1) == [(7, "4 on B♭")]
    assert chief(found, 9) == found and chief([], 3) == []


def test_crossings():
    notes, fingers, _ = reasons_of("F major", "right")  # 1 2 3 4 1 2 3 4 | 3 2 1 4 3 2 1
    assert "".join(c or "-" for c in crossings(notes, fingers, "right")) == "----1------4---"
    notes, fingers, _ = reasons_of("F major", "left")
    assert "".join(c or "-" for c in crossings(notes, fingers, "left")) == "-----3----1----"
