"""Every page of the desk speaks in the words of the studio: notes, steps, families."""

from __future__ import annotations

import html
import re

import pytest

from tests.desk.raw import Raw
from tests.weeks.test_studio import run
from workbook.weeks.studios import opened

OURS = 'letters = "italian"\nsteps = "semitone"\n'
THEIRS = re.compile(r"\b[A-G][♭♯]? (major|minor)\b|\b(whole|half) steps?\b|whole notes")


@pytest.fixture(scope="module")
def italian(tmp_path_factory):
    """A studio with other words, and one student with words of her own."""
    folder = tmp_path_factory.mktemp("italian") / "studio"
    folder.mkdir()
    (folder / "roster.csv").write_text(
        "student,template,keys,letters\n"
        "Pippa Marrowby,first-steps,G major; B minor,\n"
        "Otto Quill,first-steps,Eb major,german\n",
        "utf-8",
    )
    run("begin", folder)
    text = (folder / "studio.toml").read_text("utf-8")
    text = text.replace('size = "normal"', OURS + 'size = "normal"')
    text = text.replace("# first_lesson", "first_lesson").replace("# exam", "exam")
    (folder / "studio.toml").write_text(text, "utf-8")
    run("build", "--studio", folder, "--week", "2027-01-12")
    with opened(folder) as one:
        codes = {sheet.student: sheet.code for sheet in one.record.sheets()}
    run("mark", codes["Pippa Marrowby"], "--wrong", "1 3.1", "--studio", folder)
    return folder, codes


def test_no_page_has_other_words(italian):
    folder, codes = italian
    code = codes["Pippa Marrowby"]
    raw = Raw(folder)
    try:
        found = {}
        for path in (
            "/",
            "/student/1",
            "/student/2",
            "/studio",
            "/term",
            f"/mark/{code}/1?answers=beside%20the%20page",
            f"/mark/{code}/2?answers=beside%20the%20page",
            "/template/level-03/2",
            "/template/level-07/5",
            "/fingering?kind=scale&key=Bb+minor",
        ):
            answer, text = raw.ask("GET", path)
            assert answer.status == 200, path
            # identifiers, in attributes and after them, are those of files and addresses
            shown = re.sub(r'(value|href|action|data-check|src|id|name)="[^"]*"', "", text)
            found[path] = html.unescape(shown)
            assert not THEIRS.search(found[path]), (path, THEIRS.search(found[path]))
        pippa = found["/student/1"] if "Pippa" in found["/student/1"] else found["/student/2"]
        assert "Sol major" in pippa and "Si minor" in pippa
        assert ", Sol, finger, right answer" in found[f"/mark/{code}/1?answers=beside%20the%20page"]
        assert "Si♭ major" in found["/fingering?kind=scale&key=Bb+minor"]
        german = html.unescape(raw.ask("GET", f"/mark/{codes['Otto Quill']}/1")[1])
        assert ", Es, finger, right answer" in german
    finally:
        raw.close()
