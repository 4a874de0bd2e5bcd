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


def test_nor_do_errors_and_builds(window, raw, studio):
    page = window()
    raw.ask("POST", "/build", "week=2027-01-19&student=Nobody")
    raw.desk.builds.job.future.result(60)
    (studio / "roster.csv").write_text("student,template\nPippa Marrowby,nothing\n", "utf-8")
    for path in ("/build", "/", "/student/1", "/studio", "/term", "/roster"):
        page.goto(raw.door.origin + path)
        assert not violations(page), path


class TestFirstVisit:
    @pytest.fixture
    def studio(self, tmp_path):
        return tmp_path / "new"

    def test_nor_does_the_first_page(self, window):
        assert not violations(window("phone"))
