"""Thousands of one-page papers on a local cluster, a worker killed half way.

Run with ``pytest tests/benchmarks/test_cluster_speed.py -n0 -s``; not part of the suite. The
sizes are 300 and 1,000 papers, or as ``WORKBOOK_PAPERS=300,10000`` says: ten thousand take
about ten minutes on two cores. Compared with a plain build of the same rows, byte by byte.
"""

from __future__ import annotations

import hashlib
import os
import resource
import signal
import threading
import time
from pathlib import Path

import pytest

from workbook import build
from workbook.builds.cluster import build_on
from workbook.studio.settings import BuildSettings

distributed = pytest.importorskip("distributed", reason="pip install 'workbook[cluster]'")

SIZES = [int(size) for size in os.environ.get("WORKBOOK_PAPERS", "300,1000").split(",")]
WORKERS = 2
TEMPLATE = """title = "Paper"
[[section]]
family = "inversions"
hands = ["right", "left"]
count = 2
points = 4
[[section]]
family = "intervals"
hands = ["right", "left"]
count = 2
points = 4
"""
FILES = ("workbook.pdf", "answer-key.pdf", "answers.pdf", "key.json")


def studio(folder: Path, papers: int) -> Path:
    (folder / "templates").mkdir(exist_ok=True)
    (folder / "templates" / "paper.toml").write_text(TEMPLATE, "utf-8")
    roster = folder / f"{papers}.csv"
    rows = "".join(f"Candidate {n},paper,G major; E minor\n" for n in range(papers))
    roster.write_text("student,template,keys\n" + rows, "utf-8")
    return roster


def digest(folder: Path) -> str:
    found = hashlib.sha256()
    for name in FILES:
        found.update((folder / name).read_bytes())
    return found.hexdigest()


def memory() -> float:
    """Megabytes of this process now."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * resource.getpagesize() / 1e6


def test_papers(tmp_path, monkeypatch):
    monkeypatch.setenv("WORKBOOK_CACHE", str(tmp_path / "cache"))
    settings = BuildSettings(template_dir=tmp_path / "templates")
    seconds, used = {}, {}
    with (
        distributed.LocalCluster(
            n_workers=WORKERS, threads_per_worker=1, dashboard_address=":0"
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        for papers in SIZES:
            roster, out = studio(tmp_path, papers), tmp_path / f"out-{papers}"
            killed = threading.Event()

            def progress(step, done, of, killed=killed):
                if step == "Building" and done > of / 2 and not killed.is_set():
                    killed.set()
                    os.kill(next(iter(client.run(os.getpid).values())), signal.SIGKILL)

            start = time.perf_counter()
            executor = client.get_executor(pure=False, retries=2)
            done = build_on(executor, roster, out, settings, progress=progress)
            seconds[papers] = (time.perf_counter() - start) / papers
            used[papers] = memory()
            assert killed.is_set() and done.workbooks == papers
            print(f"\n{papers} papers: {1000 * seconds[papers]:.1f} ms each, {used[papers]:.0f} MB")
    least, most = SIZES[0], SIZES[-1]
    start = time.perf_counter()
    built = build(
        tmp_path / f"{most}.csv",
        tmp_path / "plain",
        template_dir=tmp_path / "templates",
        processes=WORKERS,
    )
    print(f"plain build of {most}: {1000 * (time.perf_counter() - start) / most:.1f} ms each")
    differences = [
        one.code
        for one in built
        if digest(one.folder) != digest(tmp_path / f"out-{most}" / one.code)
    ]
    assert differences == []
    name = "mark-sheet.csv"
    assert (tmp_path / "plain" / name).read_bytes() == (
        tmp_path / f"out-{most}" / name
    ).read_bytes()
    ratio = seconds[most] / seconds[least]
    more = used[most] - used[least]
    print(f"time per paper, {most} against {least}: {ratio:.2f}; memory +{more:.0f} MB")
    assert ratio < 1.15
    assert more < 100
