"""Every page meets WCAG 2.2 AA as far as axe-core can tell, in light and dark, small and wide."""

from __future__ import annotations

import pytest

from tests.desk.conftest import SIZES, fits
from tests.weeks.test_studio import run

ROOMS = ["/studio", "/term", "/roster", "/templates", "/template/level-05/7", "/fingering"]
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}


def violations(page):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    found = axe.Axe().run(page, options=RULES).response
    assert len(found["passes"]) > 10
    return [
        (one["id"], node["html"], node["failureSummary"])
        for one in found["violations"]
        for node in one["nodes"]
    ]


FIRST = ("phone", "dark")
OTHERS = [(size, scheme) for size in SIZES for scheme in ("light", "dark")]
SLOW = [pytest.param(*one, marks=pytest.mark.sweep) for one in OTHERS if one != FIRST]


@pytest.mark.parametrize("size,scheme", [FIRST, *SLOW])
def test_no_page_keeps_anyone_out(window, raw, studio, code, size, scheme):
    page = window(size, color_scheme=scheme)
    raw.ask("POST", "/term", "first_lesson=2027-01-12&exam=2027-04-05")
    paths = ["/", f"/mark/{code}/1", f"/mark/{code}/2?answers=hidden", "/student/1", *ROOMS]
    for path in paths:
        page.goto(raw.door.origin + path)
        assert not violations(page), path
        fits(page, size)
    run("mark", code, "--wrong", "1 3.1", "--empty", "2", "--studio", studio)
    marked = ("/", f"/mark/{code}/1", "/student/1", "/student/2", "/studio")
    for path in (*marked, f"/mark/{code}/1?answers=beside%20the%20page"):
        page.goto(raw.door.origin + path)
        assert not violations(page), path


def test_a_printed_page_is_always_light(window, raw, code):
    page = window("tablet", color_scheme="dark")
    page.goto(f"{raw.door.origin}/mark/{code}/1")
    colours = (
        "() => { const s = getComputedStyle(document.body); return [s.color, s.backgroundColor] }"
    )
    ink, paper = page.evaluate(colours)
    page.emulate_media(media="print", color_scheme="dark")
    assert page.evaluate(colours) not in ([ink, paper], [paper, ink])
    scheme = page.evaluate("getComputedStyle(document.documentElement).colorScheme")
    assert scheme == "light"
    page.emulate_media(media="print", color_scheme="light")
    light = page.evaluate(colours)
    page.emulate_media(media="print", color_scheme="dark")
    assert page.evaluate(colours) == light


LOOKS = {
    "light": {"color_scheme": "light"},
    "dark": {"color_scheme": "dark"},
    "light, more contrast": {"color_scheme": "light", "contrast": "more"},
    "dark, more contrast": {"color_scheme": "dark", "contrast": "more"},
    "forced colours": {"forced_colors": "active"},
}
WINDOWS = [(size, look) for size in ("phone", "desktop") for look in LOOKS]
IN_EACH = pytest.mark.parametrize(
    "size,look",
    [
        pytest.param(*one, marks=[] if one == ("phone", "dark") else pytest.mark.sweep)
        for one in WINDOWS
    ],
)


def posted(page, address, fields):
    """Send a form as a page of the desk does, and wait for the page that comes back."""
    with page.expect_navigation():
        page.evaluate(
            """([address, fields]) => {
                const form = document.createElement("form");
                form.method = "post";
                form.action = address;
                for (const [name, value] of Object.entries(fields)) {
                    const field = document.createElement("input");
                    [field.type, field.name, field.value] = ["hidden", name, value];
                    form.append(field);
                }
                document.body.append(form);
                form.submit();
            }""",
            [address, fields],
        )


def told(window, page, status, size):
    """The page that came says why, keeps nobody out, and its status was the one meant."""
    assert not violations(page), page.url
    fits(page, size)
    found = "".join(window.complaints)
    window.complaints.clear()
    assert str(status) in found, (page.url, found)


FORMS = {
    "/roster": {"c2.0": "Pippa Marrowby", "c2.1": "nothing", "c2.2": "H major"},
    "/template/first-steps/1": {"count": "many", "title": "Notes"},
    "/template/first-steps/1/head": {"title": "", "instructions": "Look."},
    "/template/first-steps/1/sections": {"do": "sideways"},
    "/templates": {"title": "First steps", "base": "first-steps"},
    "/fingering": {"kind": "scale", "key": "C major", "form": "major", "hand": "right", "f0": "1"},
    "/term": {"first_lesson": "2027-06-05", "exam": "2027-01-12"},
    "/build": {"week": "soon"},
    "/student/1": {"do": "rename", "name": ""},
}
STATUS = {"/student/1": 409}


@IN_EACH
def test_nor_do_refused_forms(window, raw, studio, size, look):
    page = window(size, **LOOKS[look])
    for path, fields in FORMS.items():
        page.goto(raw.door.origin + "/roster")
        seen = {"seen": page.locator("[name=seen]").input_value()} if path == "/roster" else {}
        posted(page, raw.door.origin + path, fields | seen)
        assert (
            page.locator("[role=alert]:visible").count()
            or path in ("/build", *STATUS)
            or ("no such button" in page.content())
        )
        told(window, page, STATUS.get(path, 400), size)


@IN_EACH
def test_nor_do_errors(window, raw, studio, code, size, look, monkeypatch):
    page = window(size, **LOOKS[look])
    home = raw.door.origin
    page.goto(home + "/nothing/there")
    told(window, page, 404, size)
    posted(page, f"{home}/mark/{code}/1", {"touch": "9" * 70_000})
    told(window, page, 413, size)
    with monkeypatch.context() as patch:
        patch.setattr(raw.desk, "folder", None)
        page.goto(home + "/student/1")
        told(window, page, 500, size)
    page.goto(f"http://localhost:{raw.door.port}/")
    told(window, page, 421, size)
    page.goto("about:blank")
    posted(page, home + "/build", {"week": "2027-01-19"})
    told(window, page, 403, size)
    page.context.clear_cookies()
    page.goto(home)
    told(window, page, 401, size)


@IN_EACH
def test_nor_do_builds_and_a_faulty_roster(window, raw, studio, size, look):
    page = window(size, **LOOKS[look])
    raw.ask("POST", "/build", "week=2027-01-19&student=Nobody")
    raw.desk.builds.job.future.result(60)
    (studio / "roster.csv").write_text("student,template\nPippa Marrowby,nothing\n", "utf-8")
    for path in ("/build", "/", "/student/1", "/studio", "/term", "/roster"):
        page.goto(raw.door.origin + path)
        assert not violations(page), path
        fits(page, size)


@IN_EACH
def test_nor_does_a_running_build(window, raw, studio, stuck, size, look):
    page = window(size, **LOOKS[look])
    posted(page, raw.door.origin + "/build", {"week": "2027-01-19"})
    page.get_by_role("button", name="Cancel").wait_for()
    assert not violations(page)
    fits(page, size)
    raw.ask("POST", "/build/cancel", "")


class TestFirstVisit:
    @pytest.fixture
    def studio(self, tmp_path):
        return tmp_path / "new"

    @IN_EACH
    def test_nor_does_the_first_page_or_its_refusal(self, window, raw, size, look):
        page = window(size, **LOOKS[look])
        assert not violations(page)
        fits(page, size)
        posted(page, raw.door.origin + "/begin", {"student0": "Wren", "level0": "level-99"})
        assert page.get_by_role("alert").is_visible()
        told(window, page, 400, size)
        page.goto(raw.door.origin + "/nothing/there")
        told(window, page, 404, size)
