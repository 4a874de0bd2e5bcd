"""German, Italian, French and Spanish note names: their boxes hold them at 14 points."""

from itertools import combinations
from random import Random

import pytest
from asked import Request

from workbook import design
from workbook.design import HANDS, MIDDLE, MM
from workbook.engraving import figures
from workbook.exercises.families import FAMILIES, KINDS
from workbook.music.keys import ALL_KEYS, parse_key
from workbook.music.naming import LETTERS, Naming
from workbook.music.pitch import pitch
from workbook.music.qualities import QUALITIES
from workbook.typesetting import figured

OTHERS = [letters for letters in LETTERS if letters != "english"]
NOTES = [pitch(f"{letter}{sign}4") for letter in "CDEFGAB" for sign in ("bb", "b", "", "#", "##")]
HAND_NAMES = [name for name in HANDS if "large" not in name]


def names(letters: str) -> dict[str, list[str]]:
    """Every answer that is a name of a note, a chord or a key, by its kind."""
    naming = Naming(letters)
    notes = [naming.note(p) for p in NOTES]
    keys = [(key, naming.note(key.tonic_in(4))) for key in ALL_KEYS]
    small = letters == "german"
    return {
        "note": notes,
        "repair": notes,
        "chord": [note + quality.suffix for note in notes for quality in QUALITIES.values()],
        "key": [naming.key(key) for key in ALL_KEYS],
        "major": [name for key, name in keys if not key.minor],
        "minor": [name.lower() if small else f"{name}m" for key, name in keys if key.minor],
    }


@pytest.mark.parametrize("letters", OTHERS)
def test_every_name_fits_its_box_at_14_points(letters):
    for asks, answers in names(letters).items():
        kind = KINDS[asks]
        for answer in answers:
            wide = figured.width(answer, kind.figured, "bold", MIDDLE.answer)
            room = MIDDLE.width(kind.box([answer]).width) - 2 * design.BESIDE_ANSWER
            assert wide <= room, f"{answer} needs {wide / MM:.1f} mm"


@pytest.mark.parametrize("letters", OTHERS)
def test_a_hand_has_3_mm_for_each_letter_of_a_name(letters):
    """So much room a child needs to write one: from memory."""
    for asks in ("note", "repair", "major", "minor"):
        for answer in names(letters)[asks]:
            assert KINDS[asks].box([answer]).width >= 3.0 * len(answer), f"{asks}: {answer}"


def drawn(family: str, letters: str, hand: str, key: str, **settings: object):
    request = Request(
        parse_key(key),
        "right",
        FAMILIES[family].asks,
        settings=settings,
        naming=Naming(letters),
    )
    exercise = FAMILIES[family].make(request, Random(1))
    return figures.draw(exercise, hand), exercise


def check_apart(rects, least: float, told: str) -> None:
    for (ax0, ay0, ax1, ay1), (bx0, by0, bx1, by1) in combinations(rects, 2):
        apart = max(ax0 - bx1, bx0 - ax1, ay0 - by1, by0 - ay1)
        assert apart >= least - 0.01, f"{told}: {apart:.1f} points from box to box"


@pytest.mark.parametrize("hand", HAND_NAMES)
@pytest.mark.parametrize("letters", LETTERS)
def test_boxes_under_a_keyboard_are_apart_and_no_wider_than_it(letters, hand):
    for key in ("C major", "Gb major", "C# major", "Ab minor"):
        for shape in ("scale", "notes", "tonic triad"):
            snippet, exercise = drawn("keyboard-names", letters, hand, key, shape=shape)
            rects = [snippet.slots[blank.slot] for blank in exercise.blanks]
            told = f"{key}, {shape}"
            check_apart(rects, 1.0, told)
            keys = next(rect for slot, rect in snippet.slots.items() if slot.asks == "keys")
            assert min(rect[0] for rect in rects) >= keys[0] - 0.01, told
            assert max(rect[2] for rect in rects) <= keys[2] + 0.01, told
            assert max(rect[3] for rect in rects) < keys[1], told
            assert min(rect[1] for rect in rects) >= 0, told


@pytest.mark.parametrize("hand", HAND_NAMES)
@pytest.mark.parametrize("letters", LETTERS)
def test_boxes_of_a_circle_are_apart_and_fit_the_measure(letters, hand):
    snippet, exercise = drawn("circle-of-fifths", letters, hand, "C major")
    check_apart([snippet.slots[blank.slot] for blank in exercise.blanks], 2.0, letters)
    narrow = "small" in hand
    measure = design.PAPERS["half-letter" if narrow else "letter"][0] - 2 * (
        design.SMALL_SIDE if narrow else design.SIDE
    )
    assert snippet.width <= measure


@pytest.mark.parametrize("hand", HAND_NAMES)
def test_a_keyboard_with_letters_has_one_row_of_boxes(hand):
    snippet, exercise = drawn("keyboard-names", "english", hand, "Gb major", shape="scale")
    assert len({snippet.slots[blank.slot][1] for blank in exercise.blanks}) == 1
