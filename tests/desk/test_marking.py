"""A sheet marked in a real browser: by touch, by keyboard, in two windows, without script."""

from __future__ import annotations

import time

import pytest
from playwright.sync_api import expect

from tests.desk.conftest import fits, pictured
from tests.weeks.test_studio import outcomes, run
from workbook.marking.outcome import Outcome
from workbook.studio_record.model import Mark, Way
from workbook.weeks.studios import opened


def box(page, number):
    return page.locator(f"#b{number}")


def saved(page):
    page.get_by_text("saved", exact=True).wait_for()


def number_of(folder, code, place):
    """The number and id of a box that the list of answers calls ``3.1``."""
    with opened(folder) as one:
        item, wanted = map(int, place.split("."))
        workbook = one.record.workbook(code)
        found = next(i for i in workbook.items if i.number == item).blanks[wanted - 1]
        return workbook.blanks.index(found) + 1, found


def note_of(folder, code, blank):
    """The note at a box, as ``key.json`` has it."""
    with opened(folder) as one:
        item = next(i for i in one.record.workbook(code).items if blank in i.blanks)
    (note,) = item.notes[blank.hand][blank.column]
    return note[:-1].replace("#", "♯").replace("b", "♭")


def test_touches_give_what_a_command_gives(window, raw, studio, code):
    page = window("tablet", has_touch=True)
    page.get_by_role("link", name="Mark First Steps of Pippa Marrowby").first.tap()
    page.wait_for_url(f"{raw.door.origin}/mark/{code}/1")
    for place in ("1.1", "3.1"):
        number, blank = number_of(studio, code, place)
        note = note_of(studio, code, blank)
        if blank.page != 1:
            page.goto(f"{raw.door.origin}/mark/{code}/{blank.page}")
        name = f"{place}, {note}, {blank.asks}, right answer {blank.answer}"
        page.get_by_role("button", name=name).first.tap()
        saved(page)
        assert box(page, number).get_attribute("data-state") == "wrong"
    pictured(page, "marking-tablet")
    touched = outcomes(studio, code)
    total = page.locator("#total").inner_text()
    said = run("mark", code, "--wrong", "1.1 3.1", "--studio", studio)
    assert outcomes(studio, code) == touched and f"total {total}" in said
    with opened(studio) as one:
        assert {each.way for each in one.record.history(code)} == {Way.PAGE, Way.TYPED}


def test_a_touch_is_wrong_then_empty_then_right_and_can_be_taken_back(window, raw, studio, code):
    page = window()
    page.goto(f"{raw.door.origin}/mark/{code}/1")
    _, blank = number_of(studio, code, "1.1")
    for expected in ("wrong", "empty", "right", "wrong"):
        box(page, 1).click()
        page.locator(f"#b1[data-state={expected}]").wait_for()
        assert outcomes(studio, code)[blank.id] == expected
    for expected in ("right", "empty", "wrong"):
        page.get_by_role("button", name="Undo").click()
        page.locator(f"#b1[data-state={expected}]").wait_for()
    page.get_by_role("button", name="Undo").click()
    page.locator('#b1[data-state="not marked"]').wait_for()
    assert set(outcomes(studio, code).values()) == {"not marked"}
    assert page.get_by_role("button", name="Undo").is_disabled()


def test_quick_touches_all_arrive_in_their_order(window, raw, studio, code):
    page = window()
    page.goto(f"{raw.door.origin}/mark/{code}/1")
    numbers = page.eval_on_selector_all(".box", "all => all.slice(0, 6).map(one => one.id)")
    page.evaluate("ids => ids.forEach(id => document.getElementById(id).click())", numbers)
    saved(page)
    with opened(studio) as one:
        blanks = one.record.workbook(code).blanks
        wanted = [blanks[int(number[1:]) - 1].id for number in numbers]
        wrong = [
            name
            for each in one.record.history(code)
            for name, mark in each.marks.items()
            if mark.outcome == Outcome.WRONG
        ]
    assert wrong == wanted


def test_the_keyboard_does_what_a_finger_does(window, raw, studio, code):
    page = window("desktop")
    page.goto(f"{raw.door.origin}/mark/{code}/1")
    box(page, 1).focus()
    page.keyboard.press("ArrowRight")
    focused = "document.activeElement.id"
    assert page.evaluate(focused) == "b2"
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("2")
    second = page.evaluate("document.activeElement.dataset.place")
    assert second.startswith("2.")
    page.keyboard.press("Space")
    saved(page)
    number = int(page.evaluate(focused)[1:])
    assert box(page, number).get_attribute("data-state") == "wrong"
    page.keyboard.press("Enter")
    page.locator(f"#b{number}[data-state=empty]").wait_for()
    page.keyboard.press("u")
    page.locator(f"#b{number}[data-state=wrong]").wait_for()
    page.keyboard.press("ArrowUp")
    assert page.evaluate("document.activeElement.dataset.place").startswith("1.")


def test_every_box_has_a_name_and_lies_on_its_box(window, raw, studio, code):
    page = window("phone")
    page.goto(f"{raw.door.origin}/mark/{code}/1")
    pictured(page, "marking-phone")
    with opened(studio) as one:
        workbook = one.record.workbook(code)
    sheet = page.locator(".page").bounding_box()
    scale = sheet["width"] / 612
    on_page = [(n, b) for n, b in enumerate(workbook.blanks, 1) if b.page == 1]
    assert len(on_page) == page.locator(".box").count() > 10
    for number, blank in on_page:
        found = box(page, number).bounding_box()
        left, _, right, top = blank.rect
        assert found["x"] - sheet["x"] == pytest.approx(left * scale, abs=2)
        assert found["y"] - sheet["y"] == pytest.approx((792 - top) * scale, abs=2)
        assert found["width"] == pytest.approx((right - left) * scale, abs=2)
        label = box(page, number).get_attribute("aria-label")
        assert blank.asks in label and label.endswith(": not marked")
    fits(page, "phone")


def test_two_windows_agree(window, raw, studio, code):
    one, two = window(), window("phone")
    for page in (one, two):
        page.goto(f"{raw.door.origin}/mark/{code}/1")
    box(one, 1).click()
    saved(one)
    two.locator("#b1[data-state=wrong]").wait_for(timeout=10_000)
    box(two, 1).click()
    saved(two)
    one.locator("#b1[data-state=empty]").wait_for(timeout=10_000)
    assert one.locator("#total").inner_text() == two.locator("#total").inner_text()


def test_what_another_command_marked_is_not_taken_back(window, raw, studio, code):
    page = window()
    page.goto(f"{raw.door.origin}/mark/{code}/1")
    box(page, 1).click()
    saved(page)
    with opened(studio) as one:
        first = one.record.workbook(code).blanks[0].id
        one.record.mark(code, {first: Mark(Outcome.EMPTY, "7")}, Way.TYPED)
    page.get_by_role("button", name="Undo").click()
    page.get_by_role("alert").get_by_text("marked elsewhere since").wait_for()
    assert outcomes(studio, code)[first] == "empty"
    assert "409" in window.complaints.pop()


def test_a_touch_that_is_not_saved_is_told_loudly(window, raw, studio, code):
    page = window()
    page.goto(f"{raw.door.origin}/mark/{code}/1")
    page.route("**/mark/**", lambda route: route.abort())
    box(page, 1).click()
    page.get_by_role("alert").get_by_text("NOT SAVED").wait_for()
    pictured(page, "marking-not-saved")
    assert box(page, 1).get_attribute("data-state") == "not marked"
    page.unroute("**/mark/**")
    box(page, 1).click()
    saved(page)
    assert len(set(outcomes(studio, code).values())) == 2
    assert all("ERR_FAILED" in line for line in window.complaints)
    window.complaints.clear()


def test_without_script_each_touch_is_a_form(window, raw, studio, code):
    page = window("phone", java_script_enabled=False)
    page.goto(f"{raw.door.origin}/mark/{code}/1?answers=hidden")
    for press, state in (
        (box(page, 1), "wrong"),
        (page.get_by_role("button", name="Undo"), "not marked"),
        (page.get_by_role("button", name="The rest is right"), "right"),
    ):
        press.click()
        expect(box(page, 1)).to_have_attribute("data-state", state)
        assert page.url.endswith(f"/mark/{code}/1")
        expect(page.locator(".page.shut")).to_have_count(1)
    assert set(outcomes(studio, code).values()) == {"right"}


def test_answers_are_in_the_boxes_beside_them_or_hidden(window, raw, studio, code):
    page = window("desktop", color_scheme="dark")
    page.goto(f"{raw.door.origin}/mark/{code}/1")
    _, blank = number_of(studio, code, "1.1")
    assert box(page, 1).get_by_text(blank.answer, exact=True).is_visible()
    page.get_by_role("link", name="beside the page").click()
    rows = page.locator(".answers .row").first.locator("span")
    rows.first.wait_for()
    # the style of the new page may come after its text
    box(page, 1).get_by_text(blank.answer, exact=True).wait_for(state="hidden")
    with opened(studio) as one:
        item = one.record.workbook(code).items[0]
    assert rows.all_inner_texts() == [one.answer for one in item.blanks]
    pictured(page, "marking-dark-beside")
    page.get_by_role("link", name="Page 2").first.click()
    page.wait_for_url(f"**/mark/{code}/2*")
    expect(page.get_by_role("heading", name="Answers")).to_be_visible()
    page.get_by_role("link", name="hidden").click()
    expect(page.get_by_role("heading", name="Answers")).to_have_count(0)
    page.goto(f"{raw.door.origin}/mark/{code}")
    assert page.get_by_text("hidden", exact=True).get_attribute("aria-current") == "true"


def wrong(folder, code):
    return {name for name, outcome in outcomes(folder, code).items() if outcome == "wrong"}


def drag(page, first, last):
    """Draw a frame with the mouse from beyond the first box to beyond the last."""
    box(page, first).evaluate("one => one.scrollIntoView({block: 'center'})")
    a, b = box(page, first).bounding_box(), box(page, last).bounding_box()
    page.mouse.move(a["x"] - 3, a["y"] - 3)
    page.mouse.down()
    page.mouse.move(b["x"], b["y"])
    page.mouse.move(b["x"] + b["width"] + 2, b["y"] + b["height"] + 2)
    page.mouse.up()


def test_a_frame_marks_all_boxes_in_it_as_one_step(window, raw, studio, code):
    page = window("desktop")
    page.goto(f"{raw.door.origin}/mark/{code}/1")
    with opened(studio) as one:
        blanks = one.record.workbook(code).blanks[:4]
    drag(page, 1, 4)
    saved(page)
    assert wrong(studio, code) == {blank.id for blank in blanks}
    pictured(page, "marking-frame")
    drag(page, 1, 4)
    page.locator("#b4[data-state=empty]").wait_for()
    box(page, 2).click()
    page.locator("#b2[data-state=right]").wait_for()
    for _ in range(3):
        page.get_by_role("button", name="Undo").click()
    page.locator("#b1[data-state='not marked']").wait_for()
    touched = outcomes(studio, code)
    assert set(touched.values()) == {"not marked"}


def test_a_finger_draws_a_frame_when_it_is_told_to(window, raw, studio, code):
    page = window("tablet", has_touch=True)
    page.goto(f"{raw.door.origin}/mark/{code}/1")
    page.get_by_role("button", name="Mark several").tap()
    page.evaluate(
        """() => {
        const page = document.querySelector(".page"), edge = page.getBoundingClientRect();
        page.setPointerCapture = () => {};
        const at = (id) => document.getElementById(id).getBoundingClientRect();
        const send = (kind, x, y) => page.dispatchEvent(new PointerEvent(kind, {
            pointerType: "touch", isPrimary: true, clientX: x, clientY: y, bubbles: true}));
        const first = at("b1"), last = at("b3");
        send("pointerdown", first.left - 2, first.top - 2);
        send("pointermove", last.right - 1, last.bottom - 1);
        send("pointerup", last.right - 1, last.bottom - 1);
        }"""
    )
    saved(page)
    assert len(wrong(studio, code)) == 3


def test_several_boxes_are_taken_by_keyboard(window, raw, studio, code):
    page = window("desktop")
    page.goto(f"{raw.door.origin}/mark/{code}/1")
    box(page, 1).focus()
    for _ in range(2):
        page.keyboard.press("Shift+ArrowRight")
    page.get_by_text("3 boxes taken").wait_for()
    page.keyboard.press("Space")
    saved(page)
    assert len(wrong(studio, code)) == 3
    page.keyboard.press("Escape")
    page.keyboard.press("Space")
    page.locator("#b3[data-state=empty]").wait_for()
    assert len(wrong(studio, code)) == 2


def test_a_page_is_turned_by_key_and_by_a_stroke(window, raw, studio, code):
    page = window("tablet", has_touch=True)
    page.goto(f"{raw.door.origin}/mark/{code}/1")
    box(page, 1).focus()
    page.keyboard.press("Space")
    page.keyboard.press("n")
    page.wait_for_url("**/2")
    assert len(wrong(studio, code)) == 1  # the touch came first
    page.locator(".box").first.focus()
    page.keyboard.press("p")
    page.wait_for_url("**/1")
    touches = page.context.new_cdp_session(page)
    points = [[{"x": x, "y": 700}] for x in (600, 500, 400)]
    for kind, one in zip(("touchStart", "touchMove", "touchMove"), points):
        touches.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": one})
    touches.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    page.wait_for_url("**/2")


def test_a_missing_page_stays_unmarked(window, raw, studio, code):
    page = window()
    page.goto(f"{raw.door.origin}/mark/{code}/2")
    page.get_by_role("button", name="Page 2 is missing").click()
    saved(page)
    touched = outcomes(studio, code)
    run("mark", code, "--later", "2", "--studio", studio)
    right = {name for name, outcome in touched.items() if outcome == "right"}
    assert right == {n for n, outcome in outcomes(studio, code).items() if outcome == "right"}
    with opened(studio) as one:
        pages = {blank.id: blank.page for blank in one.record.workbook(code).blanks}
    assert right == {name for name, page in pages.items() if page != 2} and 2 in pages.values()


def test_a_sheet_that_did_not_come_back(window, raw, studio, code):
    page = window()
    page.goto(f"{raw.door.origin}/mark/{code}/1")
    page.get_by_role("button", name="Not handed in").click()
    page.get_by_role("link", name="This week").click()
    expect(page.get_by_text("not handed in")).to_have_count(1)


def test_a_touch_is_in_the_record_soon(raw, studio, code):
    times = []
    for turn in ("wrong", "empty", "right") * 5:
        start, worked = time.perf_counter(), time.process_time()
        answer, _ = raw.ask("POST", f"/mark/{code}/1", f"touch=1 {turn}", Accept="application/json")
        times.append((time.perf_counter() - start, time.process_time() - worked))
        assert answer.status == 200
    clock, work = (sorted(column)[len(times) // 2] for column in zip(*times))
    assert clock < 0.25 and work < 0.1  # the other tests of the suite run meanwhile
