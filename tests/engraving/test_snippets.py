"""A sample of exercises really engraved: boxes in rows, inside the snippet, clear of the ink."""

from random import Random

import pypdfium2
import pytest
from asked import Request
from PIL import ImageChops

from workbook import design
from workbook.engraving import lilypond
from workbook.engraving.engrave import engrave
from workbook.engraving.frame import natural
from workbook.engraving.rows import box, box_rows, stacked_box
from workbook.engraving.snippet import STAFF_SPACE
from workbook.errors import EngraverMissing, EngravingError
from workbook.exercises.families import FAMILIES, KINDS
from workbook.exercises.model import DRAWN
from workbook.music.keys import parse_key
from workbook.pages.elements import Page, Picture
from workbook.pages.render import ANSWER_KEY, WORKBOOK, render

FIVE_MILLIMETRES = 5 * 72 / 25.4
KEYS = ("C major", "Cb major", "C# major", "A minor", "G# minor", "Ab minor", "E major")


def sample(step):
    """Each family in every key and hand, or in ``step`` of them one."""
    cases = [
        (key, family, hand)
        for key in map(parse_key, KEYS)
        for family in FAMILIES.values()
        for hand in ("right", "left", "both")
    ]
    for key, family, hand in cases[::step]:
        settings = {"octaves": 2, "forms": "melodic"} if key.fifths in (5, 4, -7) else {}
        yield family.make(Request(key, hand, family.asks, 0, 2, settings), Random(hand))


@pytest.fixture(
    scope="module",
    params=[
        pytest.param(11, id="some"),
        pytest.param(1, id="every", marks=pytest.mark.sweep),
    ],
)
def engraved(request):
    exercises = list(sample(request.param))
    assert {exercise.family for exercise in exercises} == set(FAMILIES)
    return list(zip(exercises, engrave(exercises)))


def rects(exercise, snippet):
    found = []
    for blank in exercise.blanks:
        cell = snippet.slots[blank.slot]
        found.append((blank, cell if blank.asks in DRAWN else box(blank, cell)))
    return found


def test_each_blank_has_room_for_a_thick_pencil(engraved):
    for exercise, snippet in engraved:
        for blank, (x0, y0, x1, y1) in rects(exercise, snippet):
            assert blank.given or min(x1 - x0, y1 - y0) >= FIVE_MILLIMETRES
            assert 0 <= x0 < x1 <= snippet.width and 0 <= y0 < y1 <= snippet.height


def test_boxes_do_not_touch(engraved):
    for exercise, snippet in engraved:
        found = [rect for _, rect in rects(exercise, snippet)]
        for i, a in enumerate(found):
            for b in found[i + 1 :]:
                assert a[2] + 1 < b[0] or b[2] + 1 < a[0] or a[3] + 1 < b[1] or b[3] + 1 < a[1], (
                    exercise.prompt
                )


def test_boxes_of_two_rows_do_not_slip_in_between_one_another():
    """In a line of this length, a cadence's box would touch that of a measure on another line."""
    settings = {"values": "dotted", "kinds": "PAC IAC HC", "order": "either"}
    family = FAMILIES["periods"]
    request = Request(parse_key("C# major"), "right", family.asks, 0, 2, settings)
    made = family.make(request, Random(0))
    (snippet,) = engrave([made], frames=[natural(made)._replace(width=86.0)])
    found = sorted(rect for _, rect in rects(made, snippet))
    for number, (_, low, right, high) in enumerate(found):
        assert not any(
            x0 < right + 1 and low < y1 + 1 and y0 < high + 1
            for x0, y0, _, y1 in found[number + 1 :]
        )


def test_boxes_of_two_rows_that_have_room_stand_on_one_line():
    """The cadence beside the repeated measures, and not a little higher."""
    settings = {"values": "dotted", "kinds": "PAC IAC HC", "order": "either"}
    family = FAMILIES["periods"]
    beside = 0
    for seed in range(4):
        request = Request(parse_key("C major"), "right", family.asks, 0, 2, settings)
        made = family.make(request, Random(seed))
        last = max(b.column for b in made.blanks)
        for width in (0, 86.0):
            frame = natural(made)._replace(**({"width": width} if width else {}))
            (snippet,) = engrave([made], frames=[frame])
            lows = {snippet.slots[b.slot][1] for b in made.blanks if b.asks == "match"}
            cadence = next(b for b in made.blanks if b.asks == "cadence" and b.column == last)
            low, high = snippet.slots[cadence.slot][1::2]
            (at,) = lows
            assert low == at or low > at + high - low or high < at
            beside += low == at
    assert beside


def test_boxes_of_one_row_stand_on_one_line(engraved):
    for exercise, snippet in engraved:
        if exercise.figure:
            continue
        for row in box_rows(exercise):
            bottoms: dict[int, set[float]] = {}
            for column in row.stacks:
                _, low, _, high = snippet.slots[row.slot(column)]
                (line,) = [
                    number
                    for number, (foot, top) in enumerate(snippet.lines)
                    if foot <= (low + high) / 2 <= top
                ]
                bottoms.setdefault(line, set()).add(round(low, 2))
            assert all(len(found) == 1 for found in bottoms.values()), (
                exercise.prompt,
                row.name,
                bottoms,
            )


@pytest.mark.parametrize("hand", ["right", "left", "both"])
def test_a_scale_to_be_matched_has_its_box_at_the_end_of_its_staff(hand):
    """To the right of its bar line, as high as the staves, at the end of the measure."""
    made = FAMILIES["scale-matching"].make(
        Request(parse_key("D major"), hand, ("number",)), Random(1)
    )
    ((snippet, frame),) = zip(engrave([made]), [natural(made)])
    for blank, (low, high) in zip(made.blanks, snippet.lines):
        x0, y0, x1, y1 = snippet.slots[blank.slot]
        assert abs(x1 - (snippet.staff[0] + frame.width * STAFF_SPACE)) < 4
        assert low < y0 < y1 < high and abs((y0 + y1) / 2 - (low + high) / 2) < 3 * STAFF_SPACE
        assert x1 - x0 < y1 - y0 + 0.1
    assert made.choices[int(made.blanks[0].answer) - 1] and made.prompt.count("major") > 0


def test_a_stack_is_in_the_order_of_its_notes(engraved):
    for exercise, snippet in engraved:
        stacks = {}
        for blank, rect in rects(exercise, snippet):
            stacks.setdefault((blank.asks, blank.hand, blank.column), []).append(
                (blank.note or 0, rect[1])
            )
        for stack in stacks.values():
            assert sorted(stack) == sorted(stack, key=lambda pair: pair[1])


def test_boxes_are_clear_of_the_ink(engraved):
    """The printed picture without boxes: their area must be white."""
    scale, size = 2.0, (600.0, 750.0)
    sheets = [Page([Picture(20, 20, snippet)]) for _, snippet in engraved]
    with pypdfium2.PdfDocument(render(sheets, WORKBOOK, size, "", "")) as document:
        for page, (exercise, snippet) in zip(document, engraved):
            picture = page.render(scale=scale).to_pil().convert("L")
            for blank, (x0, y0, x1, y1) in rects(exercise, snippet):
                if blank.asks in DRAWN:
                    continue
                area = picture.crop(
                    (
                        int((19.5 + x0) * scale),
                        int(picture.height - (20.5 + y1) * scale),
                        int((20.5 + x1) * scale),
                        int(picture.height - (19.5 + y0) * scale),
                    )
                )
                assert area.getextrema()[0] > 200, (exercise.prompt, blank)


def test_what_the_student_writes_is_on_the_answer_key_alone(engraved):
    """The workbook's picture of a written exercise has the pen's colour nowhere, the
    answer key's has it in the room of every written blank."""
    scale, size = 2.0, (600.0, 750.0)
    written = [
        (exercise, snippet)
        for exercise, snippet in engraved
        if any(blank.asks in DRAWN for blank in exercise.blanks)
    ]
    assert written
    sheets = [Page([Picture(20, 20, snippet)]) for _, snippet in written]

    def reds(face):
        with pypdfium2.PdfDocument(render(sheets, face, size, "", "")) as document:
            for page in document:
                red, green, _ = page.render(scale=scale).to_pil().convert("RGB").split()
                yield ImageChops.subtract(red, green).point(lambda v: 255 * (v > 60))

    for picture in reds(WORKBOOK):
        assert picture.getbbox() is None
    for (exercise, snippet), picture in zip(written, reds(ANSWER_KEY)):
        for blank, (x0, y0, x1, y1) in rects(exercise, snippet):
            if blank.asks == "notes":
                area = picture.crop(
                    (
                        int((20 + x0) * scale),
                        int(picture.height - (20 + y1) * scale),
                        int((20 + x1) * scale),
                        int(picture.height - (20 + y0) * scale),
                    )
                )
                assert area.getbbox(), (exercise.prompt, blank)
            elif blank.asks in DRAWN:
                assert picture.getbbox(), exercise.prompt


def test_identical_music_is_engraved_once():
    kind = FAMILIES["arpeggio"]
    request = Request(parse_key("C major"), "right", kind.asks)
    first, second = engrave([kind.make(request, Random(1)), kind.make(request, Random(1))])
    assert first is second


def test_boxes_are_large_enough_for_a_pencil():
    """No box is under 6.5 mm on paper; for a young hand, and in large print, none under 8."""
    for name, hand in design.HANDS.items():
        size = name.partition(", ")[2].removesuffix(" on small")
        scale = design.SIZES.get(size, 1.0)
        least = (8.0 if name == "young" or scale > 1 else 6.5) * design.MM / scale
        assert hand.box * design.MM >= least and hand.stack * design.MM >= least
        for kind in KINDS.values():
            if kind.size:
                assert hand.width(kind.size) >= least
            if kind.stacked:
                assert stacked_box(kind.name, hand)[0] * hand.space >= least


def test_boxes_of_a_row_are_apart_as_check_wants_them():
    """A point at least on paper, for their lines are 0.7 points wide."""
    for name, hand in design.HANDS.items():
        size = name.partition(", ")[2].removesuffix(" on small")
        assert hand.gap * hand.space * design.SIZES.get(size, 1.0) >= 1.0, name


def test_a_missing_program_says_what_to_do(monkeypatch):
    monkeypatch.setenv(lilypond.SETTING, "no-such-lilypond")
    with pytest.raises(EngraverMissing, match="no-such-lilypond"):
        lilypond.find()


def test_nothing_installed_names_the_install_command(monkeypatch):
    monkeypatch.delenv(lilypond.SETTING, raising=False)
    monkeypatch.setitem(__import__("sys").modules, "lilypond", None)
    monkeypatch.setattr(lilypond, "_in_wheel", lilypond._in_wheel.__wrapped__)  # nothing is kept
    monkeypatch.setattr(lilypond.shutil, "which", lambda name: None)
    with pytest.raises(EngraverMissing, match="Install it with"):
        lilypond.find()


def test_a_failing_run_tells_lilyponds_message():
    with pytest.raises(EngravingError, match="error"):
        list(lilypond.run('\\version "2.24.0" { c4 \\nonsense }'))


def test_a_run_that_hangs_is_ended():
    with pytest.raises(EngravingError, match="did not finish"):
        list(lilypond.run('\\version "2.24.0" #(sleep 60) { c4 }', seconds=1.5))


def test_the_longest_runs_fit_a_page_with_their_heading():
    """Letter paper, hands together: 46 + 58 points of margin, about 95 of heading."""
    requests = [
        ("scale-fingering", {"octaves": 3}),
        ("scale-fingering", {"octaves": 4}),
        ("scale-fingering", {"octaves": 2, "motion": "contrary"}),
        ("chromatic-scale", {"octaves": 2}),
        ("arpeggio", {"octaves": 2, "chord": "dominant seventh"}),
    ]
    exercises = [
        FAMILIES[family].make(Request(parse_key(key), hand, ("finger",), 0, 2, settings), Random(1))
        for family, settings in requests
        for key in ("Cb major", "A# minor")
        for hand in ("both", "left")
    ]
    for exercise, snippet in zip(exercises, engrave(exercises)):
        assert snippet.height <= 792 - 104 - 95, exercise.label
        assert snippet.width <= 522 + 10, exercise.label
