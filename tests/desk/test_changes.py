"""Nothing can be done at the desk that a command cannot do, and both write the same bytes."""

from __future__ import annotations

import re
import shutil

import pytest

from tests.weeks.test_studio import run
from workbook.cli import main
from workbook.desk.app import app
from workbook.studio.folder import is_studio

ANY = "{}"
COMMANDS = {
    "/begin": ("begin", "roster add", "term"),
    "/look": ("begin",),
    "/build": ("next", "build"),
    "/build/cancel": ("next", "build"),  # Ctrl+C
    "/student/{}": ("student rename", "student leave"),
    "/term": ("term",),
    "/roster": ("roster set", "roster add", "roster remove"),
    "/roster/check": ("roster check",),
    "/templates": ("templates copy",),
    "/template/{}/{}": ("templates set",),
    "/template/{}/{}/check": ("templates set", "preview"),
    "/template/{}/{}/head": ("templates set",),
    "/template/{}/{}/sections": ("templates move", "templates remove", "templates add"),
    "/fingering": ("fingering",),
    "/mark/{}/{}": ("mark",),
    "/link": ("desk",),
}
"""What changes something at the desk, and the commands that do it."""


def test_every_change_has_a_command(raw):
    pages = app(raw.desk)._app
    changes = {
        re.sub(r"\{[^}]*\}", ANY, route.path) for route in pages.routes if "POST" in route.methods
    }
    assert changes == COMMANDS.keys()
    for words in {one for found in COMMANDS.values() for one in found}:
        command = main
        for word in words.split():
            command = command.commands[word]


@pytest.fixture
def other(studio, tmp_path):
    """A copy of the studio for the commands."""
    return shutil.copytree(studio, tmp_path / "other")


def same(studio, other, name):
    return (studio / name).read_bytes() == (other / name).read_bytes()


def test_the_term(raw, studio, other):
    assert raw.status("POST", "/term", "first_lesson=2027-01-12&exam=2027-06-05") == 303
    for day in ("2027-02-16", "2027-03-02", "2027-02-16"):
        assert raw.status("POST", "/term", f"week={day}") == 303
    run("term", "--first-lesson", "2027-01-12", "--exam", "2027-06-05", "--studio", other)
    said = run("term", "--no-lesson", "2027-02-16", "--no-lesson", "2027-03-02", "--studio", other)
    assert "12 January 2027 to 5 June 2027, 19 lessons" in said
    assert not same(studio, other, "studio.toml")
    run("term", "--lesson", "2027-02-18", "--studio", other)  # another day of that week
    assert same(studio, other, "studio.toml")
    assert raw.status("POST", "/term", "first_lesson=2027-01-12&exam=") == 303
    assert "needs both" in run("term", "--exam", "none", "--studio", other)
    assert same(studio, other, "studio.toml")
    before = (other / "studio.toml").read_bytes()
    run("term", "--exam", "2027-01-01", "--studio", other, code=2)
    run("term", "--exam", "soon", "--studio", other, code=2)
    assert (other / "studio.toml").read_bytes() == before


def test_fingerings(raw, studio, other):
    own = "123412312312345"
    form = "kind=scale&key=E+major&form=major&hand=right"
    digits = "&".join(f"f{number}={digit}" for number, digit in enumerate(own))
    assert raw.status("POST", "/fingering", f"{form}&{digits}") == 303
    assert f"{own}, your own" in run("fingering", "E major", "--digits", own, "--studio", other)
    assert same(studio, other, "fingering.toml")
    before = (other / "fingering.toml").read_bytes()
    for wrong in (("--digits", "12"), ("--digits", "1" * 15), ("--digits", own, "--back")):
        run("fingering", "E major", *wrong, "--studio", other, code=2)
    run("fingering", "E major", "--form", "harmonic", "--studio", other, code=2)
    assert (other / "fingering.toml").read_bytes() == before
    assert raw.status("POST", "/fingering", f"{form}&do=back") == 303
    assert "built-in" in run("fingering", "E major", "--back", "--studio", other)
    assert same(studio, other, "fingering.toml")


def test_the_roster(raw, studio, other):
    version = re.search('name="seen" value="([0-9a-f]+)"', raw.ask("GET", "/roster")[1])[1]
    cells = re.findall('name="c(\\d+)\\.0" value="([^"]+)"', raw.ask("GET", "/roster")[1])
    number = int(cells[0][0])
    body = f"seen={version}&c{number}.1=level-02&n0.0=Wren+%C3%89.&n0.1=level-04"
    assert raw.status("POST", "/roster", body) == 303
    run("roster", "set", number, "template=level-02", "--studio", other)
    said = run("roster", "add", "student=Wren É.", "template=level-04", "--studio", other)
    assert "Wren É., level-04" in said.splitlines()[-1]
    assert same(studio, other, "roster.csv")
    assert "The roster has no problems." in run("roster", "check", "--studio", other)
    before = (other / "roster.csv").read_bytes()
    for wrong in (
        ("set", number, "template=level-99"),
        ("set", number, "student="),
        ("set", number, "student=A", "student=B"),
        ("set", number, "shoes=A"),
        ("set", number, "template"),
        ("set", 1, "student=A"),
        ("set", 99, "student=A"),
        ("remove", 99),
        ("add", "student=Ada"),
    ):
        assert "Traceback" not in run("roster", *wrong, "--studio", other, code=2)
    assert (other / "roster.csv").read_bytes() == before
    version = re.search('name="seen" value="([0-9a-f]+)"', raw.ask("GET", "/roster")[1])[1]
    assert raw.status("POST", "/roster", f"seen={version}&remove={number}") == 303
    run("roster", "remove", number, "--studio", other)
    assert same(studio, other, "roster.csv")
    (other / "roster.csv").write_text("student,template\nAda,nothing\n", "utf-8")
    assert "nothing" in run("roster", "check", "--studio", other, code=2)


def test_an_invented_studio(tmp_path):
    run("begin", tmp_path / "new", "--invented")
    assert is_studio(tmp_path / "new")
    run("begin", tmp_path / "new", "--invented", code=2)
