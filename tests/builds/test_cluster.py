"""Large builds: batches by any executor, skipped when there, the culprit named."""

import json
import os
import shutil
import signal
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path

import pikepdf
import pytest

from workbook import Cancel, Cancelled, InputError, OutputError, WorkbookError, build, read_record
from workbook.builds import cluster, dask_workers, joining
from workbook.builds.batches import build_batch
from workbook.builds.cluster import build_on
from workbook.builds.dask_workers import connect
from workbook.builds.storage import storage
from workbook.planning import dealing
from workbook.record.identity import item_identity
from workbook.studio.settings import BuildSettings

TEMPLATES = Path(__file__).parent / "templates"
SMALL = BuildSettings(template_dir=TEMPLATES)
FILES = ("workbook.pdf", "answer-key.pdf", "answers.pdf", "key.json")


def studio(tmp_path, students=7):
    rows = "".join(f"Student {n},tiny,G major; E minor,,\n" for n in range(students))
    path = tmp_path / "roster.csv"
    path.write_text("student,template,keys,title,seed\n" + rows, "utf-8")
    return path


def plain(roster, out):
    """The files of a plain build by key code."""
    return {
        one.code: {name: (one.folder / name).read_bytes() for name in FILES}
        for one in build(roster, out, template_dir=TEMPLATES)
    }


class Workers(Executor):
    """Runs each batch at once, in this thread, but fails for chosen students."""

    def __init__(self, bad=()):
        self.bad, self.batches = set(bad), []

    def submit(self, call, batch):
        self.batches.append([order.row.student for order in batch.orders])
        future = Future()
        if self.bad & set(self.batches[-1]):
            future.set_exception(OSError("worker lost"))
        else:
            try:
                future.set_result(call(batch))
            except WorkbookError as error:
                future.set_exception(error)
        return future


def test_earlier_sheets_count_and_other_ones_are_refused(tmp_path):
    """``after``: nothing is set again, and a run after other sheets would mix with the first."""
    roster, settings = papers(tmp_path, students=1)
    old = build(roster, tmp_path / "old", template_dir=settings.template_dir, seed="old")
    out = tmp_path / "out"
    build_on(Workers(), roster, out, settings, after=[tmp_path / "old"])
    (new,) = out.glob("*-*/key.json")
    had, found = (
        {item_identity(item) for item in read_record(path.read_text("utf-8")).items}
        for path in (old[0].folder / "key.json", new)
    )
    assert had and found and not had & found
    with pytest.raises(InputError, match="earlier sheets"):
        build_on(Workers(), roster, out, settings)


GONE = r"^The workers have stopped.*run the command again"


def papers(tmp_path, top="", students=4, **section):
    """A roster on a template of two exercises, and settings that name its folder."""
    folder = tmp_path / "templates"
    folder.mkdir(exist_ok=True)
    values = {"family": '"intervals"', "hands": '["right"]', "count": 2, "points": 4} | section
    lines = "".join(f"{name} = {value}\n" for name, value in values.items())
    (folder / "paper.toml").write_text(f'title = "Paper"\n{top}\n[[section]]\n{lines}', "utf-8")
    rows = "".join(f"Candidate {n},paper,C major\n" for n in range(students))
    (tmp_path / "papers.csv").write_text("student,template,keys\n" + rows, "utf-8")
    return tmp_path / "papers.csv", BuildSettings(template_dir=folder)


@pytest.mark.parametrize("where", ["folder", "memory", "file"])
def test_the_same_files_as_a_plain_build(tmp_path, where):
    pytest.importorskip("fsspec", reason="pip install 'workbook[cluster]'")
    roster = studio(tmp_path)
    folder = tmp_path / "out"
    out = {"folder": folder, "memory": f"memory://{tmp_path.name}", "file": folder.as_uri()}[where]
    wanted = plain(roster, tmp_path / "plain")
    with ThreadPoolExecutor(2) as pool:
        done = build_on(pool, roster, out, SMALL, rows=3)
    assert (done.workbooks, done.made) == (7, 7)
    store = storage(out)
    for code, files in wanted.items():
        assert {name: store.find(f"{code}/{name}") for name in FILES} == files
    for name in ("all-workbooks.pdf", "all-answer-keys.pdf", "mark-sheet.csv", "mark-sheet.pdf"):
        assert store.find(name) == (tmp_path / "plain" / name).read_bytes()


def test_many_papers_go_into_volumes(tmp_path, monkeypatch):
    monkeypatch.setattr(joining, "VOLUME", 3)
    build_on(Workers(), studio(tmp_path), tmp_path / "out", SMALL)
    names = {path.name for path in (tmp_path / "out").iterdir() if path.is_file()}
    assert names == {
        *(
            f"{stem}-00{n}.pdf"
            for n in (1, 2, 3)
            for stem in ("all-workbooks", "all-answer-keys", "mark-sheet")
        ),
        "mark-sheet.csv",
        "build.json",
    }
    with pikepdf.open(tmp_path / "out" / "all-workbooks-003.pdf") as job:
        assert len(job.pages) > 0


def test_what_is_there_is_skipped_and_what_is_incomplete_is_made_again(tmp_path):
    roster, workers = studio(tmp_path), Workers()
    assert build_on(workers, roster, tmp_path / "out", SMALL, rows=4).made == 7
    (lost, *_) = sorted((tmp_path / "out").glob("*/key.json"))
    lost.unlink()
    again = build_on(workers, roster, tmp_path / "out", SMALL, rows=4)
    assert (again.workbooks, again.made) == (7, 1) and lost.exists()
    assert not list((tmp_path / "out").rglob("*.part"))


def test_a_bad_row_is_named_and_all_others_are_made(tmp_path):
    roster, workers = studio(tmp_path), Workers(bad=["Student 5"])
    with pytest.raises(WorkbookError, match=r"1 of 7 rows.*\nrow 7, Student 5: .*worker lost"):
        build_on(workers, roster, tmp_path / "out", SMALL, rows=4)
    assert len(list((tmp_path / "out").glob("*/key.json"))) == 6
    assert ["Student 5"] in workers.batches and ["Student 4"] in workers.batches
    assert build_on(Workers(), roster, tmp_path / "out", SMALL, rows=4).made == 1


def test_marks_stay_and_what_has_no_place_is_kept(tmp_path):
    roster, workers, out = studio(tmp_path), Workers(), tmp_path / "out"
    build_on(workers, roster, out, SMALL)
    table = (out / "mark-sheet.csv").read_text("utf-8-sig").splitlines()
    cells = table[1].split(",")
    cells[3] = "5"
    (out / "mark-sheet.csv").write_text("\n".join([table[0], ",".join(cells), *table[2:]]), "utf-8")
    assert build_on(workers, roster, out, SMALL).notice == ""
    assert (out / "mark-sheet.csv").read_text("utf-8-sig").splitlines()[1].split(",")[3] == "5"
    notice = build_on(workers, roster, out, SMALL, seed="other").notice
    assert "mark-sheet-before.csv" in notice and (out / "mark-sheet-before.csv").exists()


def test_no_more_batches_are_handed_out_than_the_bound(tmp_path, monkeypatch):
    monkeypatch.setattr(cluster, "_AHEAD", 2)
    under_way, most = set(), [0]

    class Counting(ThreadPoolExecutor):
        def submit(self, call, batch):
            future = super().submit(call, batch)
            under_way.add(future)
            future.add_done_callback(under_way.discard)
            most[0] = max(most[0], len(under_way))
            return future

    with Counting(1) as pool:
        build_on(pool, studio(tmp_path), tmp_path / "out", SMALL, rows=1)
    assert most == [2]


def test_a_build_is_cancelled_and_what_is_finished_stays(tmp_path, monkeypatch):
    monkeypatch.setattr(cluster, "_AHEAD", 2)
    cancel = Cancel()

    def progress(step, done, of):
        if done:
            cancel.cancel()

    with pytest.raises(Cancelled):
        build_on(
            Workers(),
            studio(tmp_path, 8),
            tmp_path / "out",
            SMALL,
            rows=1,
            cancel=cancel,
            progress=progress,
        )
    made = len(list((tmp_path / "out").glob("*/key.json")))
    assert 0 < made < 8


def lethal(batch):
    if any(order.row.student == "Student 2" for order in batch.orders):
        os.kill(os.getpid(), signal.SIGKILL)
    return build_batch(batch)


def test_a_row_that_kills_its_worker_is_named(tmp_path, monkeypatch):
    dask = pytest.importorskip("dask", reason="pip install 'workbook[cluster]'")
    pytest.importorskip("distributed", reason="pip install 'workbook[cluster]'")
    monkeypatch.setattr(cluster, "build_batch", lethal)
    with (
        dask.config.set({"distributed.scheduler.allowed-failures": 0}),
        connect("local:1") as workers,
        pytest.raises(WorkbookError, match=r"1 of 3 rows.*\nrow 4, Student 2: its worker ended"),
    ):
        build_on(workers, studio(tmp_path, 3), tmp_path / "out", SMALL, rows=3)
    assert len(list((tmp_path / "out").glob("*/key.json"))) == 2


def test_processes_started_anew_build_too(tmp_path):
    roster = studio(tmp_path, 3)
    wanted = plain(roster, tmp_path / "plain")
    with ProcessPoolExecutor(1, get_context("spawn")) as pool:
        build_on(pool, roster, tmp_path / "out", SMALL)
    for code, files in wanted.items():
        assert {n: (tmp_path / "out" / code / n).read_bytes() for n in FILES} == files


def test_a_pool_without_workers_is_told_once(tmp_path, monkeypatch):
    monkeypatch.setattr(cluster, "build_batch", lethal)
    with (
        ProcessPoolExecutor(1, get_context("spawn")) as pool,
        pytest.raises(WorkbookError, match=GONE) as told,
    ):
        build_on(pool, studio(tmp_path, 5), tmp_path / "out", SMALL, rows=1)
    assert "\n" not in str(told.value) and "process pool" not in str(told.value)


class Broken(Workers):
    """Takes one batch, then cancels the others, as a cluster does that has lost its scheduler."""

    def submit(self, call, batch):
        if not self.batches:
            return super().submit(call, batch)
        future = Future()
        future.cancel()
        future.set_running_or_notify_cancel()
        return future


def test_a_cluster_that_is_lost_is_told_once_and_what_is_finished_stays(tmp_path):
    roster, settings = papers(tmp_path)
    with pytest.raises(WorkbookError, match=GONE) as told:
        build_on(Broken(), roster, tmp_path / "out", settings, rows=1)
    assert "\n" not in str(told.value)
    assert len(list((tmp_path / "out").glob("*/key.json"))) == 1
    assert build_on(Workers(), roster, tmp_path / "out", settings).made == 3


@pytest.mark.parametrize(
    "address", ["local:many", "local:0", "scheduler", "-1", "a\x07\n", "\u2061"]
)
def test_what_names_no_cluster_is_told(address):
    pytest.importorskip("distributed", reason="pip install 'workbook[cluster]'")
    told = pytest.raises(InputError, match="is not the address of a cluster; write local:4")
    with told as caught, connect(address):
        pass
    assert str(caught.value).isprintable()


def test_more_processes_than_the_machine_takes_are_told():
    pytest.importorskip("distributed", reason="pip install 'workbook[cluster]'")
    with pytest.raises(InputError, match="too many processes"), connect("local:9999"):
        pass


def test_a_cluster_that_does_not_answer_is_told(monkeypatch):
    pytest.importorskip("distributed", reason="pip install 'workbook[cluster]'")
    monkeypatch.setattr(dask_workers, "_SECONDS", 1)
    with pytest.raises(WorkbookError, match="local:4"), connect("tcp://127.0.0.1:9"):
        pass


CHANGED = {
    "paper": ({"paper": "a4"}, {}, ['paper was "letter" and is now "a4";']),
    "letters": ({"letters": "german"}, {}, ['letters was not given and is now "german";']),
    "answers": ({"grey": True}, {}, ["grey was false and is now true;"]),
    "fillable": ({"fillable": True}, {}, ["fillable was false and is now true;"]),
    "points": ({}, {"points": 7}, ['the template "paper" has changed;']),
    "instructions": ({}, {"top": 'instructions = "New."'}, ['the template "paper" has changed;']),
}


@pytest.mark.parametrize("change", CHANGED)
def test_workbooks_of_changed_settings_are_not_mixed(tmp_path, change):
    settings, template, told = CHANGED[change]
    roster, before = papers(tmp_path)
    build_on(Workers(), roster, tmp_path / "out", before)
    files = {path: path.read_bytes() for path in (tmp_path / "out").rglob("*") if path.is_file()}
    roster, after = papers(tmp_path, **template)
    workers = Workers()
    with pytest.raises(InputError) as error:
        build_on(workers, roster, tmp_path / "out", replace(after, **settings))
    assert [problem.what for problem in error.value.problems] == told
    assert "write to another folder" in str(error.value)
    assert workers.batches == []
    assert files == {path: path.read_bytes() for path in files}


def test_workbooks_of_changed_fingerings_are_not_mixed(tmp_path):
    roster, settings = papers(tmp_path)
    build_on(Workers(), roster, tmp_path / "out", settings)
    own = tmp_path / "own.toml"
    own.write_text('[[scale]]\nkeys = "C major"\nright = "123412341234123"\n', "utf-8")
    with pytest.raises(InputError, match="the fingerings have changed; use"):
        build_on(Workers(), roster, tmp_path / "out", replace(settings, fingering=own))


def with_own(tmp_path, *own):
    """As ``papers``, a row for each of ``own``: size, letters, paper and fingering."""
    roster, settings = papers(tmp_path, students=len(own))
    head, *rows = roster.read_text("utf-8").splitlines()
    rows = [f"{row},{cells}" for row, cells in zip(rows, own)]
    roster.write_text("\n".join([f"{head},size,letters,paper,fingering", *rows]), "utf-8")
    return roster, settings


def test_workbooks_of_changed_rows_are_not_mixed_and_rows_may_be_added(tmp_path):
    out, own = tmp_path / "out", tmp_path / "own.toml"
    own.write_text('[[scale]]\nkeys = "C major"\nright = "123412341234123"\n', "utf-8")
    roster, settings = with_own(tmp_path, ",,,", "large,,a4,own.toml")
    done = build_on(Workers(), roster, out, settings)
    assert done.made == 2 and "pages of several sizes (Letter and A4)" in done.notice
    made = [json.loads(path.read_text("utf-8")) for path in out.glob("*/key.json")]
    looks = {(one["student"], one["paper"], one["size"]) for one in made}
    assert looks == {("Candidate 0", "letter", "normal"), ("Candidate 1", "a4", "large")}
    roster, settings = with_own(tmp_path, ",,,", "large,,a4,own.toml", ",german,,")
    assert build_on(Workers(), roster, out, settings).made == 1
    own.write_text('[[scale]]\nkeys = "C major"\nright = "123123412312312"\n', "utf-8")
    for cells, changed in (
        (("large,,,", "large,,a4,own.toml", ",german,,"), [0, 1]),
        ((",,,", "large,,a4,", ",,,"), [1, 2]),
    ):
        with pytest.raises(InputError) as error:
            build_on(Workers(), with_own(tmp_path, *cells)[0], out, settings)
        assert [problem.what for problem in error.value.problems] == [
            f"row {n + 2}, Candidate {n}, had other settings, note names or earlier sheets;"
            for n in changed
        ]


def test_a_template_may_be_added(tmp_path):
    roster, settings = papers(tmp_path)
    build_on(Workers(), roster, tmp_path / "out", settings)
    with roster.open("a", encoding="utf-8") as file:
        file.write("Candidate 9,first-steps,G major\n")
    assert build_on(Workers(), roster, tmp_path / "out", settings).made == 1
    assert build_on(Workers(), roster, tmp_path / "out", settings).made == 0


@pytest.mark.parametrize("text", [None, "", "[]", '{"settings": 1}'])
def test_workbooks_whose_settings_are_not_known_are_not_mixed(tmp_path, text):
    roster, settings = papers(tmp_path)
    build_on(Workers(), roster, tmp_path / "out", settings)
    known = tmp_path / "out" / "build.json"
    known.unlink() if text is None else known.write_text(text)
    with pytest.raises(InputError, match="build.json: .*write to another folder"):
        build_on(Workers(), roster, tmp_path / "out", settings)


def test_workbooks_of_another_seed_are_told(tmp_path):
    roster, settings = papers(tmp_path)
    build_on(Workers(), roster, tmp_path / "out", settings)
    first = sorted(path.parent.name for path in (tmp_path / "out").glob("*/key.json"))
    done = build_on(Workers(), roster, tmp_path / "out", settings, seed="other")
    assert (done.workbooks, done.made) == (4, 4)
    (line,) = [line for line in done.notice.splitlines() if "from other builds" in line]
    assert line.endswith(f"delete those that you do not need: {', '.join(first)}")


def test_the_volumes_of_an_earlier_build_are_told(tmp_path, monkeypatch):
    roster, settings = papers(tmp_path)
    assert build_on(Workers(), roster, tmp_path / "out", settings).notice == ""
    monkeypatch.setattr(joining, "VOLUME", 2)
    notice = build_on(Workers(), roster, tmp_path / "out", settings).notice
    assert notice.endswith("need: all-answer-keys.pdf, all-workbooks.pdf, mark-sheet.pdf")
    monkeypatch.setattr(joining, "VOLUME", 9)
    notice = build_on(Workers(), roster, tmp_path / "out", settings).notice
    assert "all-workbooks-001.pdf" in notice and notice.endswith("and 1 more")


def test_two_rows_with_one_key_code_are_told_and_neither_is_lost(tmp_path, monkeypatch):
    roster, settings = papers(tmp_path)
    out = tmp_path / "out"
    with monkeypatch.context() as patch:
        real, same = dealing.key_code, {"Candidate 1", "Candidate 3"}
        patch.setattr(
            dealing,
            "key_code",
            lambda row, *more: "AAA-AAA" if row.student in same else real(row, *more),
        )
        told = "row 5, Candidate 3: its key code, AAA-AAA, also belongs to .*Candidate 1"
        for rows in (4, 1, 1):  # in one batch, in two batches, in a later run
            with pytest.raises(WorkbookError, match=told):
                build_on(Workers(), roster, out, settings, rows=rows)
        with ThreadPoolExecutor(2) as pool, pytest.raises(WorkbookError, match=told):
            build_on(pool, roster, out, settings, rows=1)
    assert build_on(Workers(), roster, out, settings).workbooks == 4
    for one in build(roster, tmp_path / "plain", template_dir=settings.template_dir):
        for name in FILES:
            assert (out / one.code / name).read_bytes() == (one.folder / name).read_bytes()


def test_a_store_that_cannot_be_used_is_told_before_any_work(tmp_path):
    pytest.importorskip("fsspec", reason="pip install 'workbook[cluster]'")
    (tmp_path / "file").touch()
    for out in ("nowhere://papers", tmp_path / "file" / "papers"):
        workers = Workers()
        with pytest.raises(OutputError, match=r"^cannot"):
            build_on(workers, studio(tmp_path), out, SMALL)
        assert workers.batches == []


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes here")
@pytest.mark.parametrize("name", ["mark-sheet.csv", "build.json"])
def test_a_pipe_in_place_of_a_file_is_told_before_any_work(tmp_path, name):
    (tmp_path / "out").mkdir()
    os.mkfifo(tmp_path / "out" / name)
    workers = Workers()
    with pytest.raises(OutputError, match=f"cannot read .*{name}: it is a pipe, not a file"):
        build_on(workers, studio(tmp_path), tmp_path / "out", SMALL)
    assert workers.batches == []


def test_a_file_that_is_gone_is_told(tmp_path):
    roster, settings = papers(tmp_path)
    build_on(Workers(), roster, tmp_path / "out", settings)
    (lost, *_) = (tmp_path / "out").glob("*/workbook.pdf")
    lost.unlink()
    with pytest.raises(WorkbookError, match=f"delete the folder {lost.parent.name} and run"):
        build_on(Workers(), roster, tmp_path / "out", settings)
    shutil.rmtree(lost.parent)
    assert build_on(Workers(), roster, tmp_path / "out", settings).made == 1


def test_what_a_killed_worker_left_half_written_is_removed(tmp_path):
    pytest.importorskip("fsspec", reason="pip install 'workbook[cluster]'")
    roster, settings = papers(tmp_path)
    out = (tmp_path / "out").as_uri()
    build_on(Workers(), roster, out, settings)
    (lost, *_) = (tmp_path / "out").glob("*/key.json")
    lost.unlink()
    for folder in (lost.parent, tmp_path / "out"):
        (folder / "workbook.pdf.of-a-worker-that-was-killed.part").touch()
    assert build_on(Workers(), roster, out, settings).made == 1
    assert not list((tmp_path / "out").rglob("*.part"))


def test_of_very_many_rows_that_fail_some_are_named(tmp_path, monkeypatch):
    monkeypatch.setattr(cluster, "MOST_LISTED", 2)
    roster, settings = papers(tmp_path)
    bad = [f"Candidate {n}" for n in range(4)]
    with pytest.raises(WorkbookError, match=r"\nrow 2.*\nrow 3.*\nand 2 more$"):
        build_on(Workers(bad), roster, tmp_path / "out", settings)


@pytest.mark.parametrize("settings", [{"fillable": True}, {"forms": 2, "fillable": True}])
def test_forms_and_fields_are_the_same_as_in_a_plain_build(tmp_path, settings):
    roster, chosen = papers(tmp_path, students=2)
    build_on(Workers(), roster, tmp_path / "out", replace(chosen, **settings))
    plain_folder = tmp_path / "plain"
    for one in build(roster, plain_folder, template_dir=chosen.template_dir, **settings):
        for name in (*FILES, "workbook-form.pdf"):
            made = (tmp_path / "out" / one.code / name).read_bytes()
            assert made == (one.folder / name).read_bytes()
    for name in ("all-workbooks.pdf", "mark-sheet.csv"):
        assert (tmp_path / "out" / name).read_bytes() == (plain_folder / name).read_bytes()
