"""The whole way: the demo studio read back by pypdf, and what a bad build leaves.

``tests/preflight`` has what ``workbook check`` tells.
"""

import csv
import gc
import hashlib
import io
import json
import unicodedata

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from tests.key_json import items as key_items
from workbook import build, cli
from workbook.builds import books, workbooks
from workbook.errors import EngravingError, InputError
from workbook.exercises.model import SIDES
from workbook.inputs.messages import quoted
from workbook.pdf.join import Job
from workbook.resources import shipped

FILES = ("workbook.pdf", "answer-key.pdf", "answers.pdf", "key.json")
STUDIO = ("all-workbooks.pdf", "all-answer-keys.pdf", "mark-sheet.csv", "mark-sheet.pdf")
HEAD_WITH_SIZE = "student,template,keys,seed,size"
BOTH = {"Ben": "", "Ada": "large"}
FIVE = "C major; G major; D major; A major; F major"
"""Keys enough for five progressions in one hand."""


def outline(path):
    return [entry.title for entry in PdfReader(path).outline]


def digests(folder):
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_marks_in_the_mark_sheet_stay(tmp_path):
    """Those of workbooks that are built again the same; else the table is kept beside."""
    roster, out = tmp_path / "roster.csv", tmp_path / "out"
    roster.write_text(
        f"student,template,keys\nAda,first-steps,{FIVE}\nBen,first-steps,{FIVE}\n",
        "utf-8",
    )
    build(roster, out)
    sheet = out / "mark-sheet.csv"

    def rows(separator=";"):
        return list(csv.reader(io.StringIO(sheet.read_text("utf-8-sig")), delimiter=separator))

    marked = rows(",")
    marked[2][3], marked[2][-2] = "7", "61½"
    # as a spreadsheet program may save it
    sheet.write_text("\n".join(";".join(row) for row in marked) + "\n", "utf-8")
    build(roster, out)
    assert rows() == marked and not list(out.glob("mark-sheet-before*"))
    before = sheet.read_bytes()
    build(roster, out, seed="other")
    assert rows()[2][3] == "" and (out / "mark-sheet-before.csv").read_bytes() == before
    sheet.write_bytes(b"remarks of mine")
    notices: list[str] = []
    build(roster, out, seed="other", notice=notices.append)
    assert (out / "mark-sheet-before-2.csv").read_bytes() == b"remarks of mine"
    assert (out / "mark-sheet-before.csv").read_bytes() == before
    assert len(notices) == 1 and "kept as mark-sheet-before-2.csv" in notices[0]


def test_a_mark_beside_its_cell_is_kept_and_said_on_the_screen(tmp_path):
    roster, out = tmp_path / "roster.csv", tmp_path / "out"
    roster.write_text("student,template,keys\nAda,first-steps,C major\n", "utf-8")
    command = ["build", str(roster), "--out", str(out)]
    assert CliRunner().invoke(cli.main, command).exit_code == 0
    sheet = out / "mark-sheet.csv"
    edited = sheet.read_bytes().replace(b",,20,", b",,17,")
    sheet.write_bytes(edited + edited.splitlines(keepends=True)[1])
    (out / "mark-sheet-before.csv").symlink_to("nowhere")
    told = CliRunner().invoke(cli.main, command).output.splitlines()
    (line,) = (line for line in told if "mark-sheet" in line)
    assert 'a mark under the points (row 2: "17" under "A of", not 20' in line
    assert "rows 2 and 3" in line and (out / "mark-sheet-before.csv").is_symlink()
    assert (out / "mark-sheet-before-2.csv").read_bytes().startswith(edited)
    assert "mark-sheet" not in CliRunner().invoke(cli.main, command).output


def text_of(path):
    return [page.extract_text() for page in PdfReader(path).pages]


def test_each_student_has_the_three_files(demo, keys):
    for folder in keys:
        assert all((folder / name).stat().st_size for name in FILES)
    assert (demo / "all-workbooks.pdf").is_file() and (demo / "all-answer-keys.pdf").is_file()
    assert len({data["student"] for data in keys.values()}) >= 3


def test_answers_are_in_the_answer_key_and_not_in_the_workbook(keys):
    for folder, data in keys.items():
        answered, blank = text_of(folder / "answer-key.pdf"), text_of(folder / "workbook.pdf")
        for item in key_items(data):
            for kind in ("chord", "numeral", "position"):
                for one in item["blanks"]:
                    if one["asks"] == kind:
                        assert one["answer"] in answered[one["page"] - 1]
        wanted = sum(len(item["blanks"]) for item in key_items(data))
        assert len(" ".join(answered).split()) >= len(" ".join(blank).split()) + wanted / 2


def test_every_page_has_key_code_name_and_page_number(keys):
    for folder, data in keys.items():
        for name in FILES[:2]:
            pages = text_of(folder / name)
            for number, words in enumerate(pages, 1):
                assert data["code"] in words and f"page {number} of {len(pages)}" in words


def test_in_the_print_job_each_student_starts_on_a_front_side(demo, keys):
    pages = text_of(demo / "all-workbooks.pdf")
    starts = [number for number, words in enumerate(pages) if "page 1 of" in words]
    assert len(starts) == len(keys) and all(number % 2 == 0 for number in starts)


def test_hands_and_notes_agree(keys):
    for data in keys.values():
        for item in key_items(data):
            assert set(item["notes"]) == set(SIDES[item["hand"]])
            heard = [name for side in item["notes"].values() for chord in side for name in chord]
            assert all(name in heard for blank in item["blanks"] for name in blank["of"])


def test_the_order_of_rows_is_that_of_the_studios_files_and_changes_no_other(demo, tmp_path):
    head, *lines = (shipped() / "demo" / "roster.csv").read_text("utf-8-sig").splitlines()
    roster = tmp_path / "roster.csv"
    roster.write_text(
        "\n".join([head, *reversed([line for line in lines if line.strip()])]), "utf-8"
    )
    built = build(roster, tmp_path / "out")
    found, before = digests(tmp_path / "out"), digests(demo)
    assert {name for name in before if before[name] != found.pop(name)} == set(STUDIO)
    assert not found
    table = list(csv.reader(io.StringIO((tmp_path / "out/mark-sheet.csv").read_text("utf-8-sig"))))
    assert [row[2] for row in table[1:]] == [one.code for one in built]
    named = [line.split(",")[0] for line in reversed(lines) if line.strip()]
    assert [one.student for one in built] == named
    assert outline(tmp_path / "out/all-workbooks.pdf") == [
        f"{one.student}, {one.title}" for one in built
    ]
    build(shipped() / "demo" / "roster.csv", tmp_path / "out")
    assert digests(tmp_path / "out") == digests(demo)


def write(tmp_path, *rows, head="student,template,keys,seed"):
    path = tmp_path / "roster.csv"
    path.write_text("\n".join([head, *rows]), encoding="utf-8")
    return path


def items(folder):
    return key_items(json.loads((folder / "key.json").read_text("utf-8")))


def test_same_row_gives_different_exercises_unless_seed_says_otherwise(tmp_path):
    build(
        write(
            tmp_path,
            "Ada,first-steps,C major; G major,",
            "Ben,first-steps,C major; G major,",
            "Cy,first-steps,C major; G major,x",
            "Di,first-steps,C major; G major,x",
        ),
        tmp_path / "out",
    )
    ada, ben, cy, di = (items(tmp_path / "out" / n) for n in ("Ada", "Ben", "Cy", "Di"))
    assert ada != ben
    assert cy == di


def test_hostile_names_are_printed_as_written_and_kept_apart(tmp_path):
    names = ["../../etc/x", "<b>Ann</b>", '"#(system ""id"")"', "Ann " + "x" * 296, "a/b", "a:b"]
    build(write(tmp_path, *[f"{name},first-steps,C major," for name in names]), tmp_path / "out")
    folders = [path.parent for path in (tmp_path / "out").rglob("key.json")]
    assert len(folders) == len(names)
    assert all(folder.parent == tmp_path / "out" for folder in folders)
    printed = {
        json.loads((f / "key.json").read_text("utf-8"))["student"]: "".join(
            " ".join(text_of(f / "workbook.pdf")).split()
        )
        for f in folders
    }
    for name in ("../../etc/x", "<b>Ann</b>", '#(system "id")', "Ann " + "x" * 296):
        assert unicodedata.normalize("NFC", name).replace(" ", "") in printed[name]


def test_a_failing_build_leaves_the_last_good_one(tmp_path, monkeypatch):
    roster = write(tmp_path, "Ada,first-steps,C major,")
    out = tmp_path / "out"
    build(roster, out)
    before = digests(out)

    def fail(*args, **named):
        raise KeyboardInterrupt

    for where, name in ((workbooks, "engrave"), (books, "key_text"), (Job, "finish")):
        with monkeypatch.context() as patch:
            patch.setattr(where, name, fail)
            with pytest.raises(KeyboardInterrupt):
                build(roster, out, seed="other")
        assert digests(out) == before
    with pytest.raises(EngravingError):
        monkeypatch.setattr(
            workbooks, "engrave", lambda *_, **__: (_ for _ in ()).throw(EngravingError("no"))
        )
        build(roster, tmp_path / "never")
    assert not (tmp_path / "never").exists()


def test_an_interrupted_move_is_rolled_back(tmp_path, monkeypatch):
    from workbook.builds import publish

    roster, out = write(tmp_path, "Ada,first-steps,C major,"), tmp_path / "out"
    build(roster, out)
    before, real, calls = digests(out), publish.os.replace, []

    def stumble(source, target):
        calls.append(source)
        if len(calls) == 6:
            raise KeyboardInterrupt
        return real(source, target)

    monkeypatch.setattr(publish.os, "replace", stumble)
    with pytest.raises(KeyboardInterrupt):
        build(roster, out, seed="other")
    monkeypatch.undo()
    assert digests(out) == before


def test_only_some_students_renews_what_is_for_all_and_leaves_the_rest(tmp_path):
    rows = [f"{name},first-steps,{FIVE},,{size}" for name, size in BOTH.items()]
    roster = write(tmp_path, *rows, head=HEAD_WITH_SIZE)
    out, whole = tmp_path / "out", tmp_path / "whole"
    build(roster, out)
    before = digests(out)
    sheet = out / "mark-sheet.csv"
    sheet.write_bytes(sheet.read_bytes().replace(b",,20,", b",13,20,"))
    marked = sheet.read_text("utf-8-sig")
    told: list[str] = []
    assert build(roster, out, students=["Ben"], notice=told.append) and not told
    assert sheet.read_text("utf-8-sig") == marked
    sheet.unlink()
    build(roster, out, students=["Ben"])
    assert digests(out) == before  # byte for byte what a build of all gives

    build(roster, out, seed="other", students=["Ben"])
    assert {name for name, was in before.items() if was != digests(out)[name]} == {
        *(f"Ben/{name}" for name in FILES),
        *STUDIO,
    }
    build(
        write(tmp_path, rows[1], f"Cy,first-steps,{FIVE},,", head=HEAD_WITH_SIZE),
        whole,
    )
    write(tmp_path, *rows, head=HEAD_WITH_SIZE)
    build(roster, whole, students=["Ada"], notice=told.append)
    assert told[0] == "Not built yet, and so not in the print jobs and the mark sheet: Ben."
    assert len(told) == 2 and "rows of other workbooks" in told[1]  # those of Cy
    assert outline(whole / "all-workbooks.pdf") == ["Ada, First Steps"]
    build(roster, tmp_path / "alone", students=["Ada"])
    assert not any((tmp_path / "alone" / name).exists() for name in STUDIO)
    with pytest.raises(InputError, match='did you mean "Ben"'):
        build(roster, out, students=["Bem"])


def test_a_damaged_workbook_of_another_student_keeps_what_is_for_all(tmp_path):
    roster = write(
        tmp_path,
        f"Ada,first-steps,{FIVE},",
        f"Ben,first-steps,{FIVE},",
    )
    out, told = tmp_path / "out", []
    build(roster, out)
    (out / "Ada" / "answer-key.pdf").write_bytes(b"%PDF-1.4 half")
    before = digests(out)
    build(roster, out, seed="other", students=["Ben"], notice=told.append)
    assert {name for name, was in before.items() if was != digests(out)[name]} == {
        f"Ben/{name}" for name in FILES
    }
    (sentence,) = told
    assert "were not updated" in sentence and "answer-key.pdf cannot be read" in sentence


def test_rows_have_settings_of_their_own(tmp_path):
    mine = tmp_path / "mine.toml"
    mine.write_text('[[scale]]\nkeys = "C major"\nright = "123412312341235"\n', "utf-8")
    head = "student,template,keys,seed,size,letters,steps,paper,fingering,# lesson"
    rows = [
        "Ada,first-steps,C major,1,,,,,,Tuesday",
        "Ben,first-steps,C major,1,Extra-Large,German,semitone,A4,mine.toml,",
        "Cy,first-steps,C major,1,large,,,,,",
    ]
    told: list[str] = []
    out = tmp_path / "out"
    build(write(tmp_path, *rows, head=head), out, notice=told.append)
    keys = {
        name: json.loads((out / name / "key.json").read_text("utf-8"))
        for name in ("Ada", "Ben", "Cy")
    }
    looks = {name: (data["paper"], data["size"]) for name, data in keys.items()}
    assert looks == {
        "Ada": ("letter", "normal"),
        "Ben": ("a4", "extra-large"),
        "Cy": ("letter", "large"),
    }
    sizes = [
        tuple(round(float(side)) for side in page.mediabox[2:])
        for page in PdfReader(out / "all-workbooks.pdf").pages
    ]
    pages = {name: len(PdfReader(out / name / "workbook.pdf").pages) for name in keys}
    even = {name: count + count % 2 for name, count in pages.items()}
    assert sizes == (
        [(612, 792)] * even["Ada"] + [(595, 842)] * even["Ben"] + [(612, 792)] * pages["Cy"]
    )
    assert "pages of several sizes (Letter and A4)" in told[0]
    catalog = PdfReader(out / "all-workbooks.pdf").trailer["/Root"]
    assert catalog["/ViewerPreferences"]["/PickTrayByPDFSize"] is not None
    fingers = {
        name: [
            blank["answer"]
            for item in key_items(data)
            for blank in item["blanks"]
            if blank["asks"] == "finger"
        ]
        for name, data in keys.items()
    }
    assert fingers["Ada"] == fingers["Cy"] != fingers["Ben"]
    # what a row sets, a build of that row alone may set, too
    build(
        write(tmp_path, rows[1].split(",Extra")[0], head="student,template,keys,seed"),
        tmp_path / "alone",
        size="extra-large",
        letters="german",
        steps="semitone",
        paper="a4",
        fingering=mine,
    )
    for name in FILES:
        there = (tmp_path / "alone" / "Ben" / name).read_bytes()
        assert (out / "Ben" / name).read_bytes() == there


@pytest.mark.parametrize(
    "wrong",
    [{"letters": "klingon"}, {"steps": "x"}, {"forms": 0}, {"forms": 27}, {"paper": "folio"}],
)
def test_arguments_that_cannot_be_are_told(tmp_path, wrong):
    ((name, value),) = wrong.items()
    with pytest.raises(ValueError, match=f"^{name} cannot be {quoted(value)}"):
        build(write(tmp_path, "Ada,first-steps,C major,"), tmp_path / "out", **wrong)
    assert not (tmp_path / "out").exists()


def test_a_build_that_is_told_to_end_leaves_nothing_behind(tmp_path):
    import signal
    import subprocess
    import sys
    import time

    roster, out = write(tmp_path, *[f"S{n},advanced,all," for n in range(12)]), tmp_path / "out"
    out.mkdir()
    code = "from workbook.cli import main; main(prog_name='workbook')"
    process = subprocess.Popen(
        [sys.executable, "-c", code, "build", str(roster), "--out", str(out)],
        stdout=subprocess.DEVNULL,
    )
    deadline = time.monotonic() + 120
    while not any(out.iterdir()) and time.monotonic() < deadline:
        time.sleep(0.05)
    process.send_signal(signal.SIGTERM)
    assert process.wait(60) == 143
    assert not any(out.iterdir())


def test_answers_are_darker_than_the_rest_on_a_grey_printer():
    from workbook.pages import render

    def grey(colour):  # luma of ITU-R BT.601, from memory
        return 0.299 * colour.red + 0.587 * colour.green + 0.114 * colour.blue

    assert grey(render._RED) < min(grey(render._BOX), 1 - render._MUSIC) - 0.2


def test_a4(tmp_path):
    build(write(tmp_path, "Ada,first-steps,C major,"), tmp_path / "out", paper="a4")
    box = PdfReader(io.BytesIO((tmp_path / "out" / "Ada" / "workbook.pdf").read_bytes()))
    assert [round(float(v)) for v in box.pages[0].mediabox[2:]] == [595, 842]


RULES = {
    "share": "share of right boxes",
    "one off": "one point off an exercise",
    "all or nothing": "every box is right",
}


def test_the_answer_key_and_the_record_say_how_to_mark(tmp_path):
    """Each template its own rule; the rule of a studio comes before it."""
    templates, rows = tmp_path / "templates", []
    templates.mkdir()
    for rule in RULES:
        name = rule.replace(" ", "-")
        text = (
            f'title = "T"\nmarking = "{rule}"\n[[section]]\nfamily = "five-finger"\n'
            'hands = "right"\ncount = 1\npoints = 4\n'
        )
        (templates / f"{name}.toml").write_text(text, "utf-8")
        rows.append({"student": rule, "template": name, "keys": "C major"})
    for number, over in enumerate((None, "one off")):
        out = tmp_path / str(number)
        for made in build(rows, out, template_dir=templates, marking=over):
            key = json.loads((made.folder / "key.json").read_text("utf-8"))
            rule = over or made.student
            assert {section["marking"] for section in key["sections"]} == {rule}
            printed = " ".join(text_of(made.folder / "answer-key.pdf")[0].split())
            assert [name for name, words in RULES.items() if words in printed] == [rule]
            assert RULES[rule] not in " ".join(text_of(made.folder / "workbook.pdf"))


def test_rows_of_a_program_give_what_a_file_gives(tmp_path):
    rows = [
        {"student": 'Ada "A", Lee', "template": "first-steps", "keys": "C major; G major"},
        {"student": "Bo", "template": "first-steps", "keys": "D major", "seed": "x"},
    ]
    made = build(rows, tmp_path / "rows")
    path = tmp_path / "roster.csv"
    path.write_text(
        "student,template,keys,seed\n"
        '"Ada ""A"", Lee",first-steps,C major; G major,\nBo,first-steps,D major,x\n',
        "utf-8",
    )
    build(path, tmp_path / "file")
    assert [one.student for one in made] == ['Ada "A", Lee', "Bo"]
    assert digests(tmp_path / "rows") == digests(tmp_path / "file")


def test_problems_in_the_rows_of_a_program_name_the_row(tmp_path):
    rows = [{"student": "Ada", "template": "first-stepz", "keys": "H major", "colour": "red"}]
    with pytest.raises(InputError) as told:
        build(rows, tmp_path / "out")
    text = str(told.value)
    assert "roster, row 1: unknown column" in text and "roster, row 2:" in text
    assert "first-steps" in text and not (tmp_path / "out").exists()


SIGNATURES = """\
title = "Paper"
exam = true
[[section]]
family = "key-signatures"
clefs = "treble"
count = 4
given = 1
points = 2
"""
PRACTICE = """\
title = "Practice"
instructions = "Some help."
[[section]]
family = "scale-fingering"
hands = "right"
count = 2
given = 2
points = 2
"""


def test_what_must_be_shared_or_repeated_is_told(tmp_path):
    told: list[str] = []
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "paper.toml").write_text(SIGNATURES, "utf-8")
    roster = write(tmp_path, "Ada,paper,C major,", "Ben,paper,all,")
    build(roster, tmp_path / "out", template_dir=tmp_path / "own", forms=2, notice=told.append)
    shared, twice = told
    assert shared.startswith("Shared with an earlier form") and "Ada, Paper, form B" in shared
    assert "Ada, Paper, form A" not in shared and "Ben" not in shared
    assert "Ada, Paper, form A (section A: " in twice and "Ben" not in twice


def test_an_exam_has_no_help_and_no_hints(tmp_path):
    roster = write(tmp_path, "Ada,level-01,C major,", "Ben,paper,C major,")
    own = tmp_path / "own"
    own.mkdir()
    (own / "paper.toml").write_text(
        SIGNATURES.replace("[[section]]", 'instructions = "Forty minutes."\n[[section]]'), "utf-8"
    )
    (own / "level-01.toml").write_text(PRACTICE, "utf-8")

    def made(out, **more):
        pages = {}
        for one in build(roster, tmp_path / out, template_dir=own, **more):
            drawn = PdfReader(one.folder / "workbook.pdf").pages
            text = "".join(page.extract_text() for page in drawn)
            pages[one.student] = text, [item["given"] for item in items(one.folder)]
        return pages

    plain, exam = made("plain"), made("exam", exam=True)
    assert any(plain["Ada"][1]) and not any(exam["Ada"][1])
    assert "Some help." in plain["Ada"][0] and "Some help." not in exam["Ada"][0]
    # a template for an exam gives none in any build, and its instructions are its own
    assert not any(plain["Ben"][1]) and plain["Ben"] == exam["Ben"]
    assert "Forty minutes." in exam["Ben"][0]


def test_a_workbook_waits_for_no_garbage_collection(tmp_path):
    """What it takes is free as soon as it is written: cycles would hold it until a collection."""
    roster = tmp_path / "roster.csv"
    roster.write_text("student,template,keys\nAda,first-steps,C major\n", "utf-8")
    build(roster, tmp_path / "out")  # caches are full, modules loaded
    gc.collect()
    gc.disable()
    try:
        build(roster, tmp_path / "again")
        gc.set_debug(gc.DEBUG_SAVEALL)
        gc.collect()
        left = {type(one) for one in gc.garbage}
    finally:
        gc.set_debug(0)
        gc.garbage.clear()
        gc.enable()
    assert not {
        f"{one.__module__}.{one.__qualname__}" for one in left if "workbook." in one.__module__
    }
