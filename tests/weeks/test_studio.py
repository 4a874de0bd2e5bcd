"""A studio's weeks through the commands: begin, build, mark, rename, remake, restore."""

from __future__ import annotations

import errno
import json
import os
import shutil
import sqlite3
from pathlib import Path

import pytest
from click.testing import CliRunner

from workbook.cli import main
from workbook.record.identity import item_identity
from workbook.studio.folder import read_studio
from workbook.studio_record.record import StudioRecord
from workbook.weeks.studios import opened, record_file

ROSTER = (
    "student,template,keys,title\n"
    "Pippa Marrowby,first-steps,C major; G major,\n"
    "Otto Quill,first-steps,D major,Week one\n"
)


def run(*words, typed=None, code=0):
    result = CliRunner().invoke(main, [str(word) for word in words], input=typed)
    assert result.exit_code == code, result.output
    assert "Traceback" not in result.output
    return result.output


_made: list[Path] = []


@pytest.fixture(scope="session")
def begun(tmp_path_factory) -> Path:
    """A studio with the sheets of one week, made once for all files that ask for it.

    Nothing is done in it: every test works on a copy.
    """
    if not _made:
        folder = tmp_path_factory.mktemp("studio")
        (folder / "roster.csv").write_text(ROSTER, "utf-8")
        run("begin", folder)
        run("build", "--studio", folder, "--week", "2027-01-12")
        _made.append(folder)
    return _made[0]


@pytest.fixture
def studio(begun, tmp_path) -> Path:
    """A copy of the studio, with a record of its own."""
    folder = tmp_path / "studio"
    shutil.copytree(begun, folder)
    text = (folder / "studio.toml").read_text("utf-8")
    old = read_studio(begun)
    new = f"{abs(hash(str(tmp_path))):016x}"[:16]
    (folder / "studio.toml").write_text(text.replace(old.id, new), "utf-8")
    file = record_file(read_studio(folder))
    file.parent.mkdir(parents=True)
    shutil.copy(record_file(old), file)
    import sqlite3

    connection = sqlite3.connect(file)
    connection.execute("UPDATE studio SET id = ?", (new,))
    connection.commit()
    connection.close()
    return folder


def sheets(folder):
    with opened(folder) as one:
        return {sheet.student: sheet for sheet in one.record.sheets()}


def outcomes(folder, code):
    with opened(folder) as one:
        return {name: str(mark.outcome) for name, mark in one.record.marks(code).items()}


def test_a_week_is_built_and_entered(studio):
    pippa = sheets(studio)["Pippa Marrowby"]
    assert pippa.folder == "2027-01-12/Pippa-Marrowby" and pippa.week == "2027-01-12"
    key = json.loads((studio / pippa.folder / "key.json").read_text("utf-8"))
    assert key["code"] == pippa.code
    with opened(studio) as one:
        assert json.loads(one.record.key_json(pippa.code)) == key


def test_a_second_build_keeps_the_first_and_takes_new_exercises(studio):
    before = sheets(studio)
    files = {path: path.read_bytes() for path in studio.rglob("*.pdf")}
    said = run("build", "--studio", studio, "--week", "2027-01-12")
    assert "new exercises" in said and "the new ones are in 2027-01-12-2" in said
    after = sheets(studio)
    assert after["Otto Quill"].code != before["Otto Quill"].code
    assert all(path.read_bytes() == data for path, data in files.items())
    with opened(studio) as one:
        assert len(one.record.sheets()) == 4


def test_a_row_with_a_seed_of_its_own_is_not_set_twice(studio):
    with (studio / "roster.csv").open("a", encoding="utf-8") as file:
        file.write("Nan Ferry,first-steps,C major,\n")
    text = (studio / "roster.csv").read_text("utf-8").replace("title", "title,seed")
    (studio / "roster.csv").write_text(text.replace("C major,\n", "C major,,lark\n"), "utf-8")
    first = run("build", "--studio", studio, "--week", "2027-01-19")
    second = run("build", "--studio", studio, "--week", "2027-01-26")
    again = run("build", "--studio", studio, "--week", "2027-01-26")
    assert "new exercises" not in first and "new exercises" not in second
    assert "Nan Ferry" in again and "this sheet was already set" in again
    with opened(studio) as one:
        books = [one.record.workbook(s.code) for s in one.record.sheets("Nan Ferry")]
    assert len({book.code for book in books}) == 3
    had, new = ({item_identity(item) for item in book.items} for book in books[:2])
    assert len(had & new) <= 3, "only where the one key has no others"


def test_replacing_keeps_the_marks_of_what_it_replaces(studio):
    pippa = sheets(studio)["Pippa Marrowby"]
    run("mark", pippa.code, "--wrong", "1", "--studio", studio)
    roster = (studio / "roster.csv").read_text("utf-8")
    (studio / "roster.csv").write_text(roster.replace("G major", "F major"), "utf-8")
    said = run("build", "--studio", studio, "--week", "2027-01-12", "--replace")
    assert f"{pippa.code} was replaced; its marks stay in the record" in said
    assert not (studio / "2027-01-12-2").exists()
    assert "wrong" in outcomes(studio, pippa.code).values()
    with opened(studio) as one:
        assert one.record.sheet(pippa.code).state == "replaced"


def test_replacing_by_the_same_sheet_on_other_paper(studio):
    pippa = sheets(studio)["Pippa Marrowby"]
    run("build", "--studio", studio, "--week", "2027-01-12", "--replace", "--paper", "a4")
    assert sheets(studio)["Pippa Marrowby"].code == pippa.code
    with opened(studio) as one:
        assert one.record.workbook(pippa.code).paper == "a4"


def test_marking_in_one_line(studio):
    code = sheets(studio)["Pippa Marrowby"].code
    said = run(
        "mark", code.lower().replace("-", ""), "--wrong", "1.2", "--empty", "2", "--studio", studio
    )
    assert "1 of" in said and "boxes wrong" in said and "boxes empty" in said
    found = outcomes(studio, code)
    assert found["1.2"] == "wrong" and found["1.1"] == "right" and found["2.1"] == "empty"
    assert f"{code}" in (studio / "record" / "marks.csv").read_text("utf-8-sig")
    assert "1 marked" in run("record", "show", "--studio", studio)


def test_a_sheet_that_is_marked_again_tells_what_is_right_now(studio):
    code = sheets(studio)["Pippa Marrowby"].code
    run("mark", code, "--wrong", "1.1-3", "--studio", studio)
    said = run("mark", code, "--wrong", "+1.1", "--studio", studio)
    found = outcomes(studio, code)
    assert [found[name] for name in ("1.1", "1.2", "1.3")] == ["right", "wrong", "wrong"]
    assert "before" not in said
    said = run("mark", code, "--wrong", "1.2", "--studio", studio)
    assert "Box 1.3 was wrong or empty; you did not name it, so it counts as right." in said
    assert outcomes(studio, code)["1.3"] == "right"


def test_marking_by_answering(studio):
    code = sheets(studio)["Otto Quill"].code
    said = run("mark", code, "--studio", studio, typed="1.1 2*\n1-2\n+1.1\nundo\n\n")
    assert "total" in said
    found = outcomes(studio, code)
    assert found["1.1"] == "wrong" and found["2.1"] == found["2.2"] == "wrong"
    assert list(found.values()).count("wrong") == 3
    with opened(studio) as one:
        assert len(one.record.history(code)) == 4


def test_an_exercise_asked_about_and_put_off_stays_unmarked(studio):
    code = sheets(studio)["Otto Quill"].code
    said = run("mark", code, "--studio", studio, typed="2*\nlater\n\n")
    assert "not marked yet" in said
    assert "so far" in said and "total" not in said  # a total is that of a whole sheet
    assert outcomes(studio, code)["2.1"] == "not marked"


def test_missing_pages_stay_unmarked(studio):
    code = sheets(studio)["Pippa Marrowby"].code
    said = run("mark", code, "--wrong", "", "--later", "1", "--studio", studio)
    assert "not marked yet" in said
    with opened(studio) as one:
        blanks = one.record.workbook(code).blanks
    found = outcomes(studio, code)
    assert all((found[b.id] == "not marked") == (b.page == 1) for b in blanks)


def test_what_is_not_understood_marks_nothing(studio):
    code = sheets(studio)["Pippa Marrowby"].code
    said = run("mark", code, "--wrong", "1 99 x", "--studio", studio, code=2)
    assert "99" in said and '"x"' in said
    assert not outcomes(studio, code)
    said = run("mark", "QQQ-QQQ", "--all-right", "--studio", studio, code=1)
    assert "no sheet in the record" in said


def test_a_sheet_that_was_not_handed_in(studio):
    code = sheets(studio)["Pippa Marrowby"].code
    run("mark", code, "--not-handed-in", "--studio", studio)
    assert sheets(studio)["Pippa Marrowby"].state == "not handed in"


def test_marks_from_a_program(studio):
    code = sheets(studio)["Pippa Marrowby"].code
    with opened(studio) as one:
        first = one.record.workbook(code).items[0]
    given = {blank.id: blank.answer for blank in first.blanks} | {first.blanks[0].id: "nonsense"}
    data = {"sheets": [{"code": code, "given": given, "way": "scan", "by": "Ms Vale"}]}
    said = run("mark", "--from-json", "-", "--studio", studio, typed=json.dumps(data))
    assert "not marked yet" in said
    found = outcomes(studio, code)
    assert found[first.blanks[0].id] == "wrong"
    assert set(found) == set(given) and list(found.values()).count("wrong") == 1
    with opened(studio) as one:
        (marking,) = one.record.history(code)
        assert (marking.way, marking.who) == ("scan", "Ms Vale")
        assert marking.marks[first.blanks[0].id].given == "nonsense"


@pytest.mark.parametrize(
    "data, said",
    [
        ("{", "is not JSON"),
        ("[]", 'no list "sheets"'),
        ('{"sheets": [{"code": "QQQ-QQQ"}]}', "no sheet in the record"),
        ('{"sheets": [{"code": "CODE", "outcomes": {"1.1": "bad"}}]}', 'the outcome of "1.1"'),
        ('{"sheets": [{"code": "CODE", "outcomes": {"99.1": "right"}}]}', 'has no blank "99.1"'),
        ('{"sheets": [{"code": "CODE", "outcome": {}}]}', "unknown key"),
        ('{"sheets": [{"code": "CODE", "way": "magic"}, 3]}', "sheet 2: is not an object"),
        (
            '{"sheets": [{"code": "CODE", "outcomes": {"1.1": "wrong", "1.1": "right"}}]}',
            '"1.1" appears twice in one object',
        ),
        ('{"sheets": [{"code": "CODE", "by": null}]}', "by is null"),
        ('{"sheets": [{"code": "CODE", "given": {"1.1": "\\ud800"}}]}', "an incomplete character"),
        ('{"sheets": [{"code": "CODE", "by": "\\ud800"}]}', "an incomplete character"),
        (
            """{"sheets": [{"code": "CODE", "outcomes": {"1.1": "wrong"}},
            {"code": " CODE ", "outcomes": {"1.1": "right"}}]}""",
            "sheet 2: 1.1 of CODE is “wrong” in an earlier entry, “right” here",
        ),
    ],
)
def test_faulty_marks_from_a_program_are_told(studio, data, said):
    code = sheets(studio)["Pippa Marrowby"].code
    found = run(
        "mark", "--from-json", "-", "--studio", studio, typed=data.replace("CODE", code), code=2
    )
    assert said.replace("CODE", code) in found
    assert not outcomes(studio, code)


def test_all_faults_of_marks_from_a_program_are_told_at_once(studio):
    data = (
        '{"sheets": [{"code": "QQQ-QQQ", "outcomes": {"1.1": "wrong"}}, '
        '{"outcomes": {}}, {"code": "CODE", "outcomes": {"1.1": "wong", "99.9": "right"}}]}'
    )
    code = sheets(studio)["Pippa Marrowby"].code
    found = run(
        "mark", "--from-json", "-", "--studio", studio, typed=data.replace("CODE", code), code=2
    )
    assert "4 problems, nothing was written" in found
    for told in ("QQQ-QQQ", '"code" is missing', "wong", "has no blank"):
        assert told in found
    assert not outcomes(studio, code)


def test_a_renamed_student_is_the_same_student(studio):
    code = sheets(studio)["Pippa Marrowby"].code
    run("mark", code, "--wrong", "1", "--studio", studio)
    run("student", "rename", "Pippa  Marrowby", "Pippa Marrow", "--studio", studio)
    assert "Pippa Marrow," in (studio / "roster.csv").read_text("utf-8")
    assert sheets(studio)["Pippa Marrow"].code == code
    assert outcomes(studio, code)["1.1"] == "wrong"
    run("build", "--studio", studio, "--week", "2027-01-19")
    with opened(studio) as one:
        assert len(one.record.sheets("Pippa Marrow")) == 2
    said = run("student", "rename", "Pippa Marrow", "Otto Quill", "--studio", studio, code=1)
    assert "already" in said
    said = run("student", "rename", "Pipa Marrow", "X", "--studio", studio, code=2)
    assert "Pippa Marrow" in said


def test_a_sheet_is_made_again_from_the_record_alone(studio, tmp_path):
    pippa = sheets(studio)["Pippa Marrowby"]
    before = {path.name: path.read_bytes() for path in (studio / pippa.folder).iterdir()}
    shutil.rmtree(studio / "2027-01-12")
    (studio / "roster.csv").write_text("student,template,keys\n", "utf-8")
    run("record", "remake", pippa.code, "--out", tmp_path / "again", "--studio", studio)
    after = {path.name: path.read_bytes() for path in (tmp_path / "again").iterdir()}
    assert after == before
    said = run(
        "record", "remake", pippa.code, "--out", tmp_path / "again", "--studio", studio, code=5
    )
    assert "already exists" in said


def test_a_sheet_with_settings_of_its_row_is_made_again(tmp_path):
    studio = tmp_path / "studio"
    studio.mkdir()
    own = studio / "own.toml"
    own.write_text('[[scale]]\nkeys = "C major"\nright = "123412312341235"\n', "utf-8")
    (studio / "roster.csv").write_text(
        "student,template,keys,size,letters,steps,paper,fingering,#day\n"
        "Week 10,first-steps,C major,,,,,,\n"
        "Week 2,first-steps,C major,large,german,semitone,a4,own.toml,Friday\n",
        "utf-8",
    )
    run("begin", studio)
    said = run("build", "--studio", studio, "--week", "2027-01-12")
    assert said.index("Week 10:") < said.index("Week 2:")
    sheet = sheets(studio)["Week 2"]
    before = {path.name: path.read_bytes() for path in (studio / sheet.folder).iterdir()}
    own.unlink()
    (studio / "roster.csv").write_text("student,template,keys\n", "utf-8")
    run("record", "remake", sheet.code, "--out", tmp_path / "again", "--studio", studio)
    assert {path.name: path.read_bytes() for path in (tmp_path / "again").iterdir()} == before


def test_a_new_computer_restores_the_record(studio):
    code = sheets(studio)["Pippa Marrowby"].code
    run("mark", code, "--wrong", "1", "--studio", studio)
    file = record_file(read_studio(studio))
    file.unlink()
    said = run("record", "show", "--studio", studio, code=1)
    assert "workbook record restore" in said and not file.exists()
    run("record", "restore", "--studio", studio, typed="n\n", code=1)
    assert not file.exists()
    run("record", "restore", "--studio", studio, typed="y\n")
    assert outcomes(studio, code)["1.1"] == "wrong"
    assert "sound" in run("record", "check", "--studio", studio)


def test_without_a_studio_folder_the_message_says_what_to_do(tmp_path):
    said = run("mark", "QWZ-6UR", "--studio", tmp_path, code=1)
    assert "workbook begin" in said
    said = run("build", "--studio", tmp_path, code=1)
    assert "workbook begin" in said


def test_options_that_do_not_go_together(studio):
    assert "leave out ROSTER" in run(
        "build", studio / "roster.csv", "--out", "x", "--week", "2027-01-12", code=2
    )
    assert "--out" in run("build", studio / "roster.csv", code=2)
    assert "name a roster" in run("build", "--studio", studio, "--out", "x", code=2)
    assert "key code" in run("mark", "--studio", studio, code=2)


def test_a_week_folder_that_a_killed_command_made_for_nothing_goes(studio):
    made, locked, own = (studio / f"2027-{day}" for day in ("01-19", "02-02", "01-26"))
    own.mkdir()
    locked.mkdir()
    (locked / ".workbook.lock").touch()
    (made / ".building-x" / "new").mkdir(parents=True)
    (made / ".building-x" / "in-use.lock").touch()
    (made / ".workbook.lock").touch()
    run("record", "show", "--studio", studio)
    assert own.exists() and not made.exists() and not locked.exists()


def test_the_folder_of_a_week_that_may_not_be_read_stops_no_command(studio, monkeypatch):
    closed, iterdir = studio / "2027-01-19", Path.iterdir
    closed.mkdir()

    def refusing(folder):
        if folder == closed:
            raise PermissionError(errno.EACCES, "Permission denied", str(folder))
        return iterdir(folder)

    monkeypatch.setattr(Path, "iterdir", refusing)
    assert "Pippa Marrowby" in run("record", "show", "--studio", studio)


def test_who_marked_must_be_a_text(studio):
    code = sheets(studio)["Pippa Marrowby"].code
    said = run("mark", code, "--all-right", "--by", "\udcff", "--studio", studio, code=1)
    assert "bytes that are not valid text" in said and not outcomes(studio, code)


def test_marks_that_come_together_are_entered_together(studio, monkeypatch):
    """A fault after the first sheet, such as a full disk, leaves none of them."""
    codes = [one.code for one in sheets(studio).values()]
    data = {"sheets": [{"code": code, "outcomes": {"1.1": "right"}} for code in codes]}
    table = studio / "marks.csv"
    table.write_text("key code,A\n" + "".join(f"{code},1\n" for code in codes), "utf-8")
    mark, done = StudioRecord.mark, []

    def failing(self, code, *rest, **more):
        done.append(code)
        if len(done) % 2 == 0:
            raise sqlite3.OperationalError("database or disk is full")
        mark(self, code, *rest, **more)

    monkeypatch.setattr(StudioRecord, "mark", failing)
    for words, typed in ((("--table", table), None), (("--from-json", "-"), json.dumps(data))):
        assert "The record" in run("mark", *words, "--studio", studio, typed=typed, code=1)
    assert len(done) == 4
    with opened(studio) as one:
        assert not any(one.record.history(code) for code in codes)


def test_a_roster_in_utf_16_keeps_its_form_when_a_student_is_renamed(studio):
    text = (studio / "roster.csv").read_text("utf-8").replace(",", "\t").replace("\n", "\r\n")
    (studio / "roster.csv").write_bytes(text.encode("utf-16"))
    run("student", "rename", "Otto Quill", "Zoë Quill", "--studio", studio)
    data = (studio / "roster.csv").read_bytes()
    assert data.decode("utf-16") == text.replace("Otto Quill", "Zoë Quill")


def test_names_and_rosters_that_are_no_text_are_told(studio):
    roster = studio / "roster.csv"
    text = roster.read_bytes()
    said = run("student", "rename", "Otto Quill", "Z\udcff", "--studio", studio, code=2)
    assert "the new name: has bytes that are not valid text; write it again" in said
    roster.write_bytes(text + b"Zo\xeb,level-01,\r\n")
    said = run("student", "rename", "Otto Quill", "Zoë", "--studio", studio, code=2)
    assert "roster.csv: is not UTF-8; save it as" in said
    assert roster.read_bytes() == text + b"Zo\xeb,level-01,\r\n"


def test_a_week_with_a_record_that_cannot_be_read_is_told(studio):
    week = studio / "2027-01-19" / "Ada"
    for data, words in ((b"\xff", "it is not UTF-8 text"), (b"[", "line 1 is not JSON")):
        week.mkdir(parents=True, exist_ok=True)
        (week / "key.json").write_bytes(data)
        said = run("record", "show", "--studio", studio)
        assert "cannot be read" in said and words in said and "codec" not in said


@pytest.mark.parametrize("words", [("build", "--week"), ("next", "--week"), ("exam", "--day")])
def test_a_day_that_is_none_is_told_in_plain_words(studio, words):
    said = run(*words, "12 January", "--studio", studio, code=2)
    assert '"12 January" is not a date; write it as 2027-01-12' in said and "%" not in said


def test_marks_of_a_program_that_are_no_text_are_told(studio, tmp_path):
    file = tmp_path / "marks.json"
    file.write_bytes(b'{"sheets": "\xff"}')
    assert "is not UTF-8" in run("mark", "--from-json", file, "--studio", studio, code=2)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_in_place_of_a_form_is_told_at_once(studio, tmp_path):
    os.mkfifo(tmp_path / "back.pdf")
    said = run("mark", tmp_path / "back.pdf", "--studio", studio, code=2)
    assert "it is a pipe, not a file" in said
