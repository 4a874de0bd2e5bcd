"""The roster in a real browser: checked while one types, saved as the same CSV."""

from __future__ import annotations

import pytest

from tests.desk.conftest import fits, pictured

LINES = (
    'student,template,keys,# phone\r\nPippa,first-steps,C major,"at home\nnot on\r\nMondays"\r\n'
    'Otto,first-steps,D major,"mother\nwork"\r\n'
)


def test_a_row_is_checked_while_it_is_typed(window, studio):
    page = window("tablet")
    page.get_by_role("link", name="Roster").click()
    page.wait_for_url("**/roster")  # loaded, and its script with it
    before = (studio / "roster.csv").read_bytes()
    keys = page.get_by_label("keys, row 2")
    keys.fill("C major; H-Dur")
    page.locator("#p2").get_by_text('"H-Dur" is not a key').wait_for()
    pictured(page, "roster-tablet")
    assert (studio / "roster.csv").read_bytes() == before
    page.locator("#p2").get_by_role("button", name="B major").click()
    page.get_by_text("No problems found; not saved yet.").wait_for()
    assert keys.input_value() == "C major; B major"
    page.get_by_label("student, new row 1").fill("Nan =Ferry")
    page.get_by_label("template, new row 1").fill("level-02")
    page.get_by_role("button", name="Save the roster").click()
    page.get_by_label("student, row 4").wait_for()
    lines = (studio / "roster.csv").read_text("utf-8").splitlines()
    assert lines == [
        before.decode().splitlines()[0],
        "Pippa Marrowby,first-steps,C major; B major,",
        before.decode().splitlines()[2],
        "Nan =Ferry,level-02,,",
    ]
    page.get_by_role("button", name="Remove row 4").click()
    page.get_by_label("student, row 4").wait_for(state="detached")
    assert (studio / "roster.csv").read_text("utf-8").splitlines() == lines[:3]


@pytest.mark.parametrize(
    "path, field, typed, told",
    [
        ("/roster", "keys, row 2", "H-Dur", '"H-Dur" is not a key'),
        ("/template/first-steps/1", "Exercises", "many", "write a whole number"),
    ],
)
def test_what_was_typed_before_the_script_came_is_checked(window, raw, path, field, typed, told):
    page, scripts = window(), []

    def held(route):
        scripts.append(route)

    page.route("**/desk.js", held)
    page.goto(raw.door.origin + path, wait_until="commit")
    page.get_by_label(field).fill(typed)
    while not scripts:
        page.wait_for_timeout(10)
    scripts[0].continue_()
    page.get_by_text(told).first.wait_for()


def test_a_form_that_is_as_it_came_is_not_checked(window, raw, studio):
    (studio / "roster.csv").write_text(LINES, "utf-8", newline="")
    page, checks = window(), []
    page.route("**/*.png", lambda route: route.fulfill(body="<svg/>", content_type="image/svg+xml"))
    page.on("request", lambda one: checks.append(one.url) if one.method == "POST" else None)
    for path in ("/roster", "/template/first-steps/1", "/template/level-05/7"):
        page.goto(raw.door.origin + path)
        page.evaluate("new Promise((later) => requestAnimationFrame(later))")
    assert not checks


def test_notes_of_several_lines_stay_as_they_are(window, raw, studio):
    (studio / "roster.csv").write_text(LINES, "utf-8", newline="")
    page = window()
    page.goto(raw.door.origin + "/roster")
    page.get_by_label("keys, row 2").fill("G major")
    page.get_by_role("button", name="Save the roster").click()
    page.wait_for_url("**/roster?saved=yes")
    saved = (studio / "roster.csv").read_bytes().decode()
    assert saved == LINES.replace("Pippa,first-steps,C major", "Pippa,first-steps,G major")


def test_without_script_a_faulty_roster_is_not_saved(window, studio):
    page = window("phone", java_script_enabled=False)
    page.get_by_role("link", name="Roster").click()
    page.wait_for_url("**/roster")  # loaded, and its script with it
    before = (studio / "roster.csv").read_bytes()
    page.get_by_label("template, row 3").fill("<b>nothing</b>")
    page.get_by_label("template, row 3").press("Enter")
    page.get_by_text("Nothing was saved").wait_for()
    assert page.get_by_label("template, row 3").input_value() == "<b>nothing</b>"
    assert "400" in window.complaints.pop()
    assert "there is no template" in page.locator("#p3").inner_text()
    assert (studio / "roster.csv").read_bytes() == before
    fits(page, "phone")


def test_a_roster_changed_elsewhere_is_not_overwritten(raw, studio):
    _, text = raw.ask("GET", "/roster")
    seen = text.split('name="seen" value="')[1].split('"')[0]
    with (studio / "roster.csv").open("a", encoding="utf-8") as file:
        file.write("Nan Ferry,first-steps,C major,\n")
    before = (studio / "roster.csv").read_bytes()
    answer, text = raw.ask("POST", "/roster", f"seen={seen}&c2.2=C+major")
    assert answer.status == 409 and "changed elsewhere" in text
    assert (studio / "roster.csv").read_bytes() == before


def test_cells_that_are_not_there_change_nothing(raw, studio):
    before = (studio / "roster.csv").read_bytes()
    _, text = raw.ask("GET", "/roster")
    seen = text.split('name="seen" value="')[1].split('"')[0]
    body = f"seen={seen}&c2.99=x&c-1.0=x&c99.0=x&cx.y=1&n0.99=x&remove=1&c1.1e3=x"
    assert raw.status("POST", "/roster", body) == 303
    assert (studio / "roster.csv").read_bytes() == before
