"""Templates and fingerings in a real browser: the example follows, comments are kept."""

from __future__ import annotations

import re
import time
import tomllib

import pytest

from tests.desk.conftest import fits, pictured
from tests.weeks.test_studio import run
from workbook.studio.templates import available


def until(page, truth, value=None):
    """Wait until a function of the page is true; the page's policy forbids to wait in it."""
    end = time.monotonic() + 20
    while not page.evaluate(truth, value):
        assert time.monotonic() < end, truth
        page.wait_for_timeout(50)


def pictures(page):
    return page.eval_on_selector_all(
        "#example img", "all => all.map(one => [one.src, one.naturalWidth])"
    )


def test_the_example_follows_the_settings_and_the_section_is_saved(window, studio):
    page = window("tablet")
    page.get_by_role("link", name="Templates").click()
    page.get_by_role("link", name="First Steps").click()
    page.get_by_role("link", name=re.compile(r"^3\.")).click()
    page.wait_for_url("**/template/*/*")  # loaded, and its script with it
    until(page, "() => document.querySelector('#example img')?.naturalWidth > 100")
    before = pictures(page)
    page.get_by_label("Boxes filled in").fill("1")
    page.get_by_text("Not saved yet.").wait_for()
    until(
        page,
        "old => [...document.querySelectorAll('#example img')].every("
        "one => one.src !== old && one.complete && one.naturalWidth > 100)",
        before[0][0],
    )
    assert all(new[0] != old[0] for new, old in zip(pictures(page), before))
    assert not (studio / "templates" / "first-steps.toml").exists()
    pictured(page, "template-tablet")
    page.get_by_role("button", name="Save the section").click()
    page.get_by_text("your own").wait_for()
    ours = (studio / "templates" / "first-steps.toml").read_text("utf-8").splitlines()
    theirs = available()["first-steps"].read_text("utf-8").splitlines()
    assert [(a, b) for a, b in zip(ours, theirs, strict=True) if a != b] == [
        ("given = 1", "given = 2")
    ]
    run("build", "--studio", studio, "--week", "2027-01-26")


def test_what_is_wrong_is_told_and_not_saved(window, studio):
    page = window("phone")
    page.goto(page.url.rstrip("/") + "/template/first-steps/1")
    page.get_by_label("Exercises").fill("many")
    page.get_by_role("alert").get_by_text('“Exercises” is "many"; write').wait_for()
    page.get_by_role("button", name="Save the section").click()
    page.get_by_role("alert").get_by_text('“Exercises” is "many"; write').wait_for()
    assert "400" in window.complaints.pop()
    assert not (studio / "templates" / "first-steps.toml").exists()


def test_what_was_typed_stays_when_it_is_refused(window, studio):
    page = window("desktop", java_script_enabled=False)
    page.goto(page.url.rstrip("/") + "/template/first-steps/1")
    page.get_by_label("Exercises").fill("many")
    page.get_by_label("Title", exact=True).fill("Five notes")
    ticks = page.locator("input[type=checkbox]")
    ticked = [not ticks.nth(place).is_checked() for place in range(ticks.count())]
    for place, tick in enumerate(ticked):
        ticks.nth(place).set_checked(tick)
    page.get_by_role("button", name="Save the section").click()
    page.get_by_role("alert").get_by_text('“Exercises” is "many"; write').wait_for()
    assert page.get_by_label("Exercises").input_value() == "many"
    assert page.get_by_label("Title", exact=True).input_value() == "Five notes"
    assert [ticks.nth(place).is_checked() for place in range(ticks.count())] == ticked
    assert "400" in window.complaints.pop()
    assert not (studio / "templates" / "first-steps.toml").exists()


def test_title_and_instructions_are_changed_as_the_command_does(window, studio, tmp_path):
    page = window("phone")
    page.goto(page.url.rstrip("/") + "/template/first-steps/2")
    page.get_by_label("Title of the workbook").fill("Spring <b>")
    page.get_by_label("Instructions").fill('Say it aloud.\n\nThen write "it".')
    page.get_by_role("button", name="Save title and instructions").click()
    page.get_by_text("your own").wait_for()
    fits(page, "phone")
    assert page.get_by_role("heading", level=1).inner_text().startswith("Spring <b>")
    assert page.get_by_label("Instructions").input_value() == 'Say it aloud.\nThen write "it".'
    file = tmp_path / "first-steps.toml"
    run("templates", "copy", "first-steps", file)
    said = 'Say it aloud.\nThen write "it".'
    run("templates", "set", file, "--title", "Spring <b>", "--instructions", said)
    assert (studio / "templates" / file.name).read_bytes() == file.read_bytes()
    page.get_by_label("Title of the workbook").fill(" ")
    page.get_by_role("button", name="Save title and instructions").click()
    page.get_by_role("alert").get_by_text("title").wait_for()
    assert "400" in window.complaints.pop()
    assert (studio / "templates" / file.name).read_bytes() == file.read_bytes()


SETTINGS = {"count": "5", "points": "2", "given": "3", "ledger_lines": "1"}


def test_a_section_is_changed_as_the_command_does(window, studio, tmp_path):
    page = window("phone")
    page.goto(page.url.rstrip("/") + "/template/level-03/2")
    page.locator("#title").fill('Chords, "one" note at a time')
    for name, value in SETTINGS.items():
        page.locator(f"#{name}").fill(value)
    for name, value in (("example", "yes"), ("hands", "left"), ("numeral", "I")):
        page.locator(f"input[name={name}][value={value}]").uncheck()
    for name, value in (("hands", "both"), ("pattern", "alberti")):
        page.locator(f"input[name={name}][value={value}]").check()
    page.get_by_role("button", name="Save the section").click()
    page.get_by_text("your own").wait_for()
    file = tmp_path / "level-03.toml"
    run("templates", "copy", "level-03", file)
    given = [f"{name}={value}" for name, value in SETTINGS.items()]
    given += ['title=Chords, "one" note at a time', "example=", "numeral="]
    given += ["hands=right", "hands=both", "pattern=broken", "pattern=alberti"]
    run("templates", "set", file, "--section", 2, *given)
    assert (studio / "templates" / file.name).read_bytes() == file.read_bytes()
    section = tomllib.loads(file.read_text("utf-8"))["section"][1]
    assert section["hands"] == ["right", "both"]
    assert section["count"] == 5
    assert not {"example", "numeral"} & section.keys()
    page.locator("input[name=example]").check()
    page.get_by_role("button", name="Save the section").click()
    page.get_by_text("Not saved yet.").wait_for(state="hidden")
    run("templates", "set", file, "--section", 2, "example=yes")
    assert (studio / "templates" / file.name).read_bytes() == file.read_bytes()


def test_a_tick_leaves_the_order_of_the_others(raw, studio):
    """Hands take turns in the order of the template, which a form does not know."""
    file = studio / "templates" / "level-05.toml"
    text = available()[file.stem].read_text("utf-8")
    body = "title=Chord+progression&count=2&points=4&given=0&ledger_lines=2"
    body += "&ask=chord&ask=numeral&hands=right&hands=left&hands=both&numerals=full"
    file.parent.mkdir(exist_ok=True)
    file.write_text(text.replace('["right", "left", "both"]', '["both", "left"]'), "utf-8")
    before = file.read_bytes()
    number = [one["family"] for one in tomllib.loads(text)["section"]].index("progression") + 1
    path = f"/template/{file.stem}/{number}"
    assert raw.status("POST", path, body.replace("hands=right&", "")) == 303
    assert file.read_bytes() == before
    assert raw.status("POST", path, body) == 303
    section = tomllib.loads(file.read_text("utf-8"))["section"][number - 1]
    assert section["hands"] == ["both", "left", "right"]


def families(studio, name):
    text = (studio / "templates" / f"{name}.toml").read_text("utf-8")
    return [one["family"] for one in tomllib.loads(text)["section"]]


def test_a_new_template_gets_its_sections(window, studio, tmp_path):
    page = window("phone")
    page.get_by_role("link", name="Templates").click()
    page.get_by_label("Title").fill("../Spring <b>term</b>")
    page.get_by_label("Begins as a copy of").select_option("first-steps")
    page.get_by_role("button", name="Make it").click()
    page.wait_for_url("**/template/*/1")
    fits(page, "phone")
    (file,) = (studio / "templates").iterdir()
    assert file.name == "Spring-b-term-b.toml"
    assert page.get_by_role("heading", level=1).inner_text().startswith("../Spring <b>term</b>")
    before = families(studio, file.stem)
    page.get_by_label("A new section with").select_option("arpeggio")
    page.get_by_role("button", name="Add it after this one").click()
    page.wait_for_url("**/template/*/2")
    until(page, "() => document.querySelector('#example img')?.naturalWidth > 100")
    assert "Arpeggio" in page.get_by_role("heading", level=2).first.inner_text()
    pictured(page, "new-template-phone")
    page.get_by_role("button", name="Move this section up").click()
    page.wait_for_url("**/template/*/1")
    assert families(studio, file.stem) == ["arpeggio", *before]
    page.get_by_role("button", name="Move it down").click()
    page.wait_for_url("**/template/*/2")
    page.get_by_role("button", name="Remove it").click()
    page.wait_for_url("**/template/*/1")
    assert families(studio, file.stem) == before
    run(
        "templates", "copy", "first-steps", tmp_path / file.name, "--title", "../Spring <b>term</b>"
    )
    assert (tmp_path / file.name).read_bytes() == file.read_bytes()


@pytest.mark.parametrize(
    "path, body, status",
    [
        ("/templates", "title=Mine&base=..%2Fstudio", 400),
        ("/templates", "title=First+steps&base=first-steps", 400),
        ("/templates", "title=+&base=first-steps", 400),
        ("/template/first-steps/1/sections", "do=up", 400),
        ("/template/first-steps/1/sections", "do=add&family=nothing", 400),
        ("/template/first-steps/99/sections", "do=remove", 404),
    ],
)
def test_a_template_is_not_changed_by_what_is_not_there(raw, studio, path, body, status):
    assert raw.status("POST", path, body) == status
    assert not list((studio / "templates").glob("*"))


@pytest.mark.parametrize("hand", ["left", pytest.param("right", marks=pytest.mark.sweep)])
def test_a_fingering_is_written_under_the_notes(window, raw, studio, hand):
    page = window("tablet")
    page.get_by_role("link", name="Fingering").click()
    page.wait_for_load_state()
    if hand == "left":
        page.get_by_label("Hand").select_option(hand)
        page.wait_for_url(re.compile("hand=left"))
        page.wait_for_load_state()
    page.get_by_label("Key").select_option("E major")
    page.wait_for_url(re.compile("key=E.major"))
    notes = page.locator(".run input")
    assert notes.count() == 15
    one, two = notes.nth(0).bounding_box(), notes.nth(1).bounding_box()
    assert two["x"] > one["x"] and abs(two["y"] - one["y"]) < 1
    wanted = "123412312341234" if hand == "right" else "432143213214321"
    notes.nth(0).focus()
    notes.nth(0).select_text()
    page.keyboard.type(wanted)
    pictured(page, "fingering-tablet")
    page.get_by_role("button", name="Save the fingering").click()
    page.get_by_text("your own fingering").wait_for()
    text = (studio / "fingering.toml").read_text("utf-8")
    assert f'{hand} = "{wanted}"' in text and text.startswith("# Fingerings of this studio")
    notes.nth(0).fill(wanted[1])
    page.get_by_role("button", name="Save the fingering").click()
    page.get_by_role("alert").get_by_text("same finger on two neighbouring").wait_for()
    assert "400" in window.complaints.pop()
    assert (studio / "fingering.toml").read_text("utf-8") == text
    page.get_by_role("button", name="Back to").click()
    page.get_by_text("the built-in fingering").wait_for()


@pytest.mark.parametrize("query", ["?key=H+major", "?kind=chord", "?hand=third", "?form=odd"])
def test_a_run_that_is_none_is_told(raw, query):
    assert raw.status("GET", "/fingering" + query) == (200 if "form" in query else 400)
