"""How long a build takes, against LilyPond alone and against a program written by hand.

Run with ``pytest tests/benchmarks/test_speed.py -n0 -s``; not part of the suite. All figures are of
one run on one machine, and what is asserted are ratios, a rate per core and a
peak of memory.

(a) one LilyPond process per exercise, through abjad's own call for a PDF
(b) bare LilyPond over our sources, in one run
(c) a cold build of the same exercises, workbook and answer key
(d) the same build warm, as a command of its own, imports and all
(e) 30 students on one template in six keys, cold and warm
(f) 300 students, warm
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from statistics import median

import pytest

from workbook import build
from workbook.engraving import cache, engrave, lilypond, score
from workbook.engraving.shares import source
from workbook.pages.columns import frames
from workbook.pages.paper import Paper
from workbook.planning.dealing import plan
from workbook.studio.roster import read_roster

SECTIONS = (  # family, count, what else a section says
    ("scale-fingering", 12, 'octaves = [1, 2]\nforms = ["major", "harmonic"]'),
    ("primary-chords", 12, ""),
    ("inversions", 9, ""),
    ("progression", 9, 'numerals = ["full", "short"]'),
    ("arpeggio", 9, ""),
    ("intervals", 9, ""),
)
TEMPLATE = 'title = "Sixty exercises"\n' + "".join(
    f'[[section]]\nfamily = "{family}"\nhands = ["right", "left", "both"]\n{more}\n'
    f"count = {count}\npoints = 1\n"
    for family, count, more in SECTIONS
)
KEYS = "C major; G major; D major; A minor; E minor; D minor"
FIGURES: list[tuple[str, str, str]] = []


@pytest.fixture(scope="module", autouse=True)
def report():
    yield
    print(
        "\n"
        + "\n".join(
            f"{what:58} {found:>12}   (to reach: {wanted})" for what, found, wanted in FIGURES
        )
    )


def note(what: str, value: float, form: str, wanted: str) -> float:
    FIGURES.append((what, form.format(value), wanted))
    return value


@pytest.fixture(scope="module")
def studio(tmp_path_factory):
    """A roster of so many students, on the template of sixty exercises."""
    folder = tmp_path_factory.mktemp("studio")
    (folder / "templates").mkdir()
    (folder / "templates" / "sixty.toml").write_text(TEMPLATE, encoding="utf-8")

    def roster(students: int) -> Path:
        path = folder / f"{students}.csv"
        rows = "".join(f"Student {n},sixty,{KEYS}\n" for n in range(students))
        path.write_text("student,template,keys\n" + rows, encoding="utf-8")
        return path

    return roster


def cold(roster: Path, place: Path, workers: int | None = None) -> float:
    """Seconds of a build with an empty cache, in this process."""
    os.environ[cache.SETTING] = str(place / "cache")
    start = time.perf_counter()
    with ThreadPoolExecutor(workers or engrave.cores()) as pool:
        build(
            roster,
            place / "out",
            template_dir=roster.parent / "templates",
            executor=pool if workers else None,
        )
    return time.perf_counter() - start


@dataclass
class Took:
    """Seconds of a command, its processor time where it has one process, megabytes at most."""

    seconds: float
    work: float
    peak: float


def command(roster: Path, place: Path, one_core: bool = False) -> Took:
    """The command with the cache as it is, its modules compiled as after a first call.

    On ``one_core`` it has one process, so that its processor time is all of the work: what
    worker processes use is not counted in it. The peak is that of the first process and, for
    each core, of the largest other one, as if they shared nothing.
    """
    code = (
        "import os, resource, sys\n"
        f"{'os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})' if one_core else ''}\n"
        "from workbook.cli import main\n"
        "try: main(prog_name='workbook')\n"
        "finally:\n"
        "    own = resource.getrusage(resource.RUSAGE_SELF)\n"
        "    print(own.ru_utime + own.ru_stime, file=sys.stderr)"
    )
    env = {**os.environ, cache.SETTING: str(place / "cache")}
    env.pop("PYTHONDONTWRITEBYTECODE", None)
    templates = roster.parent / "templates"
    words = ["build", roster, "--out", place / "out", "--template-dir", templates]
    start = time.perf_counter()
    with subprocess.Popen(
        [sys.executable, "-c", code, *map(str, words)],
        text=True,
        env=env,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    ) as process:
        peaks: dict[int, float] = {}
        while process.poll() is None:
            for pid in [process.pid, *_descendants(process.pid)]:
                peaks[pid] = max(peaks.get(pid, 0.0), _peak(pid))
            time.sleep(0.1)
        took = time.perf_counter() - start
        told = process.stderr.read()
    assert process.returncode == 0, told
    own = peaks.pop(process.pid)
    return Took(
        took, float(told.split()[-1]), own + engrave.cores() * max(peaks.values(), default=0)
    )


def _descendants(pid: int) -> list[int]:
    try:
        tasks = list(Path(f"/proc/{pid}/task").iterdir())
        found = [int(one) for task in tasks for one in (task / "children").read_text().split()]
    except OSError:
        return []
    return [*found, *(one for child in found for one in _descendants(child))]


def _peak(pid: int) -> float:
    """Megabytes that a process has had at most."""
    try:
        status = Path(f"/proc/{pid}/status").read_text()
    except OSError:
        return 0.0
    line = next((line for line in status.splitlines() if line.startswith("VmHWM")), "VmHWM: 0")
    return int(line.split()[1]) / 1024


def sources(roster: Path) -> list[str]:
    (row,) = read_roster(roster, roster.parent / "templates")
    made = plan(row, "")
    texts = [
        score.score_source(item.exercise, frame)
        for item, frame in zip(made.drawn, frames(made, Paper("letter")))
    ]
    assert len(texts) == 60
    return texts


def by_hand(texts: list[str], folder: Path) -> float:
    """(a): abjad writes each file and runs LilyPond for its PDF, one after the other."""
    import abjad

    program = lilypond.find()
    os.environ["PATH"] = f"{program.parent}{os.pathsep}{os.environ['PATH']}"
    # the temporary home that abjad was given while it was loaded is gone
    log = Path(abjad.io.configuration.lilypond_log_file_path)
    log.parent.mkdir(parents=True, exist_ok=True)
    start = time.perf_counter()
    for number, text in enumerate(texts):
        whole = abjad.LilyPondFile([source([text])])
        abjad.persist.as_pdf(whole, str(folder / f"{number}.pdf"))
    took = time.perf_counter() - start
    assert len(list(folder.glob("*.pdf"))) == len(texts)
    return took


def test_one_student(studio, tmp_path):
    roster = studio(1)
    texts = sorted(set(sources(roster)))
    cores = engrave.cores()
    shares = [texts[share::cores] for share in range(cores)]
    one_run, one_worker, one_ratio = _turns(
        [texts], lambda n: cold(roster, tmp_path / f"one{n}", 1)
    )
    many_runs, all_workers, many_ratio = _turns(
        shares, lambda n: cold(roster, tmp_path / f"all{n}")
    )
    hand = by_hand(sources(roster), tmp_path)
    warm = min(command(roster, tmp_path / "all0").seconds for _ in range(4))
    note("(a) one process per exercise, seconds", hand, "{:.2f}", "")
    note("(b) bare LilyPond, one run, seconds", one_run, "{:.2f}", "")
    note(f"(b) bare LilyPond, {cores} runs at once, seconds", many_runs, "{:.2f}", "")
    note("(c) cold build, one LilyPond at a time, seconds", one_worker, "{:.2f}", "")
    note(f"(c) cold build, {cores} at once, seconds", all_workers, "{:.2f}", "")
    note(f"(c) / (b), {cores} processes", many_ratio, "{:.2f}", "")
    note("(d) warm, imports and all, seconds", warm, "{:.2f}", "under 0.8")
    note("(c) / (d)", all_workers / warm, "{:.1f}", "10 or more")
    assert note("(a) / (c)", hand / all_workers, "{:.1f}", "12 or more") >= 12
    assert warm < 0.8
    assert note("(c) / (b), one process", one_ratio, "{:.2f}", "1.25 or less") <= 1.25


def _turns(
    shares: list[list[str]], build_in_turn: Callable[[int], float], count: int = 10
) -> tuple[float, float, float]:
    """Seconds of bare LilyPond and of a build, the least of each, and the median of how many
    times longer a build takes than the bare runs before and after it: the machine may be
    slower now and then."""
    bare, builds = [_bare(shares)], []
    for turn in range(count):
        builds.append(build_in_turn(turn))
        bare.append(_bare(shares))
    return (
        min(bare),
        min(builds),
        median(2 * took / (before + after) for took, before, after in zip(builds, bare, bare[1:])),
    )


def _bare(shares: list[list[str]]) -> float:
    start = time.perf_counter()
    with ThreadPoolExecutor(len(shares)) as pool:
        list(pool.map(lambda texts: list(lilypond.run(source(texts))), shares))
    return time.perf_counter() - start


def test_a_studio(studio, tmp_path):
    one = min(command(studio(1), tmp_path / f"one{n}").seconds for n in range(2))
    thirty = command(studio(30), tmp_path / "thirty")
    few = command(studio(30), tmp_path / "thirty")
    note("(e) one student, cold, seconds", one, "{:.2f}", "")
    note("(e) 30 students, cold, seconds", thirty.seconds, "{:.2f}", "")
    note("(e) 30 students, warm, seconds", few.seconds, "{:.2f}", "")
    note("(e) 30 students warm, peak MB", few.peak, "{:.0f}", "")
    note("(e) 30 students cold / one cold", thirty.seconds / one, "{:.1f}", "5 or less")
    command(studio(100), tmp_path / "thirty")
    hundred = command(studio(100), tmp_path / "thirty")
    note("(f) 100 students warm, peak MB", hundred.peak, "{:.0f}", "")
    command(studio(300), tmp_path / "thirty")
    many = command(studio(300), tmp_path / "thirty")
    note("(f) 300 students, warm, seconds", many.seconds, "{:.2f}", "")
    note("(f) workbooks with answer keys a second", 300 / many.seconds, "{:.1f}", "")
    note("(f) peak MB", many.peak, "{:.0f}", "under 350")
    # with 30, the start of the command and exercises made for the first time weigh more
    rates = [
        note(
            f"(f) of {students}: workbooks with answer keys a second of one core's work",
            students / command(studio(students), tmp_path / "thirty", one_core=True).work,
            "{:.1f}",
            "8 or more",
        )
        for students in (30, 300)
    ]
    assert many.peak < 350 and many.peak < 1.15 * few.peak
    assert min(rates) >= 8
    assert thirty.seconds / one <= 5


def test_help():
    start = time.perf_counter()
    subprocess.run(
        [sys.executable, "-c", "from workbook.cli import main; main()", "--help"],
        check=True,
        stdout=subprocess.DEVNULL,
    )
    assert (
        note("workbook --help, seconds", time.perf_counter() - start, "{:.2f}", "under 0.2") < 0.2
    )


def test_size_of_the_demo(tmp_path):
    from pypdf import PdfReader

    from workbook.resources import shipped

    build(shipped() / "demo" / "roster.csv", tmp_path)
    files = list(tmp_path.rglob("*.pdf"))
    pages = sum(len(PdfReader(file).pages) for file in files)
    size = sum(file.stat().st_size for file in files) / pages / 1024
    assert note("KB a page, averaged over the demo", size, "{:.1f}", "under 12") < 12
