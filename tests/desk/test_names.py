"""Names are text and nothing else, on every page of a real browser."""

from __future__ import annotations

from workbook.weeks.students import rename
from workbook.weeks.studios import opened

EVIL = "<script>document.title='x'</script>\"'><img src=/nowhere onerror=alert(1)>"


def test_script_in_a_students_name_is_inert(window, raw, studio, code):
    with opened(studio) as one:
        rename(one, "Pippa Marrowby", EVIL)
    raw.ask("POST", "/term", "first_lesson=2027-01-12&exam=2027-04-05")
    page = window("tablet")
    page.on("dialog", lambda dialog: window.complaints.append("a script ran"))
    for path in ("/", "/studio", "/student/1", "/student/2", "/term", "/roster", f"/mark/{code}/1"):
        page.goto(raw.door.origin + path)
        assert page.title() != "x" and page.locator("img[src='/nowhere']").count() == 0
        shown = page.locator("body").inner_text() + page.content()
        assert path.startswith("/student") or "document.title" in shown
