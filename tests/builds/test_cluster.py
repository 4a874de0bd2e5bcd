"""Large builds: batches by any executor, skipped when there, the culprit named."""

import os
import signal
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from multiprocessing import get_context

import pikepdf
import pytest

from workbook import Cancel, Cancelled, WorkbookError, build
from workbook.builds import cluster
from workbook.builds.batches import build_batch
from workbook.builds.cluster import build_on, connect
from workbook.builds.storage import storage
from workbook.studio.settings import BuildSettings

FILES = ("workbook.pdf", "answer-key.pdf", "answers.pdf", "key.json")


def studio(tmp_path, students=7):
    rows = "".join(f"Student {n},first-steps,G major; E minor,,\n" for n in range(students))
    path = tmp_path / "roster.csv"
    path.write_text("student,template,keys,title,seed\n" + rows, "utf-8")
    return path


def plain(roster, out):
    """The files of a plain build by key code."""
    return {
        one.code: {name: (one.folder / name).read_bytes() for name in FILES}
        for one in build(roster, out)
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
            future.set_result(call(batch))
        return future


@pytest.mark.parametrize("where", ["folder", "memory"])
def test_the_same_files_as_a_plain_build(tmp_path, where):
    pytest.importorskip("fsspec", reason="pip install 'workbook[cluster]'")
    roster = studio(tmp_path)
    out = str(tmp_path / "out") if where == "folder" else f"memory://{tmp_path.name}"
    wanted = plain(roster, tmp_path / "plain")
    with ThreadPoolExecutor(2) as pool:
        done = build_on(pool, roster, out, rows=3)
    assert (done.workbooks, done.made) == (7, 7)
    store = storage(out)
    for code, files in wanted.items():
        assert {name: store.read(f"{code}/{name}") for name in FILES} == files
    for name in ("all-workbooks.pdf", "all-answer-keys.pdf", "mark-sheet.csv", "mark-sheet.pdf"):
        assert store.read(name) == (tmp_path / "plain" / name).read_bytes()


def test_many_papers_go_into_volumes(tmp_path, monkeypatch):
    monkeypatch.setattr(cluster, "VOLUME", 3)
    build_on(Workers(), studio(tmp_path), tmp_path / "out")
    names = {path.name for path in (tmp_path / "out").iterdir() if path.is_file()}
    assert names == {
        *(
            f"{stem}-00{n}.pdf"
            for n in (1, 2, 3)
            for stem in ("all-workbooks", "all-answer-keys", "mark-sheet")
        ),
        "mark-sheet.csv",
    }
    with pikepdf.open(tmp_path / "out" / "all-workbooks-003.pdf") as job:
        assert len(job.pages) > 0


def test_what_is_there_is_skipped_and_what_is_incomplete_is_made_again(tmp_path):
    roster, workers = studio(tmp_path), Workers()
    assert build_on(workers, roster, tmp_path / "out", rows=4).made == 7
    (lost, *_) = sorted((tmp_path / "out").glob("*/key.json"))
    lost.unlink()
    again = build_on(workers, roster, tmp_path / "out", rows=4)
    assert (again.workbooks, again.made) == (7, 1) and lost.exists()
    assert not list((tmp_path / "out").rglob("*.part"))


def test_a_bad_row_is_named_and_all_others_are_made(tmp_path):
    roster, workers = studio(tmp_path), Workers(bad=["Student 5"])
    with pytest.raises(WorkbookError, match=r"1 of 7 rows.*\nrow 7, Student 5: .*worker lost"):
        build_on(workers, roster, tmp_path / "out", rows=4)
    assert len(list((tmp_path / "out").glob("*/key.json"))) == 6
    assert ["Student 5"] in workers.batches and ["Student 4"] in workers.batches
    assert build_on(Workers(), roster, tmp_path / "out", rows=4).made == 1


def test_marks_stay_and_what_has_no_place_is_kept(tmp_path):
    roster, workers, out = studio(tmp_path), Workers(), tmp_path / "out"
    build_on(workers, roster, out)
    table = (out / "mark-sheet.csv").read_text("utf-8-sig").splitlines()
    cells = table[1].split(",")
    cells[3] = "5"
    (out / "mark-sheet.csv").write_text("\n".join([table[0], ",".join(cells), *table[2:]]), "utf-8")
    assert build_on(workers, roster, out).notice == ""
    assert (out / "mark-sheet.csv").read_text("utf-8-sig").splitlines()[1].split(",")[3] == "5"
    notice = build_on(workers, roster, out, seed="other").notice
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
        build_on(pool, studio(tmp_path), tmp_path / "out", rows=1)
    assert most == [2]


def test_a_build_is_cancelled_and_what_is_finished_stays(tmp_path):
    cancel = Cancel()

    def progress(step, done, of):
        if done:
            cancel.cancel()

    with pytest.raises(Cancelled):
        build_on(
            Workers(),
            studio(tmp_path, 200),
            tmp_path / "out",
            rows=1,
            cancel=cancel,
            progress=progress,
        )
    made = len(list((tmp_path / "out").glob("*/key.json")))
    assert 0 < made < 200


def lethal(batch):
    if any(order.row.student == "Student 2" for order in batch.orders):
        os.kill(os.getpid(), signal.SIGKILL)
    return build_batch(batch)


def test_a_row_that_kills_its_worker_is_named(tmp_path, monkeypatch):
    pytest.importorskip("distributed", reason="pip install 'workbook[cluster]'")
    monkeypatch.setattr(cluster, "build_batch", lethal)
    with (
        connect("local:2") as workers,
        pytest.raises(WorkbookError, match=r"1 of 5 rows.*\nrow 4, Student 2: its worker ended"),
    ):
        build_on(workers, studio(tmp_path, 5), tmp_path / "out", rows=5)
    assert len(list((tmp_path / "out").glob("*/key.json"))) == 4


def test_processes_started_anew_build_too(tmp_path):
    roster = studio(tmp_path, 3)
    wanted = plain(roster, tmp_path / "plain")
    with ProcessPoolExecutor(1, get_context("spawn")) as pool:
        build_on(pool, roster, tmp_path / "out", BuildSettings())
    for code, files in wanted.items():
        assert {n: (tmp_path / "out" / code / n).read_bytes() for n in FILES} == files


def test_a_cluster_that_is_none_is_told():
    pytest.importorskip("distributed", reason="pip install 'workbook[cluster]'")
    with pytest.raises(WorkbookError, match="local:4"), connect("local:many"):
        pass
    with pytest.raises(WorkbookError, match="too many processes"), connect("local:9999"):
        pass
