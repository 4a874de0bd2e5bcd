"""Random damage to a build: ``check`` survives it, and ``print`` prints or refuses."""

from __future__ import annotations

from collections import Counter
from concurrent.futures import ThreadPoolExecutor

import pytest
from case import FAULTY, Case, differences, faults, snapshot
from kills import CHECK
from limits import WORKERS, run
from shredding import shred

_DAMAGES = 160
_SAMPLE = 3


@pytest.mark.parametrize(
    "damages",
    [_SAMPLE, pytest.param(_DAMAGES, marks=pytest.mark.faults)],
    ids=["sample", "all"],
)
def test_shredded_builds(damages, two_builds, place, figures):
    place.mkdir()
    with ThreadPoolExecutor(WORKERS) as pool:
        told = list(
            pool.map(lambda n: _shredded(n, two_builds.copy(place / str(n))), range(damages))
        )
    figures("damage", "files", "noticed", "faults")
    for way in sorted({way for way, *_ in told}):
        some = [(noticed, wrong) for other, noticed, wrong in told if other == way]
        figures(way, len(some), sum(n for n, _ in some), sum(bool(w) for _, w in some))
    noticed = Counter(noticed for _, noticed, _ in told)
    figures("together", len(told), noticed[True], sum(bool(wrong) for *_, wrong in told))
    wrong = [line for *_, lines in told for line in lines]
    assert not wrong, f"{len(wrong)} faults\n" + "\n".join(wrong)
    assert noticed[True] > damages / 2  # else these would be no damages


def _shredded(number, folder):
    """How a file was damaged, whether the check noticed, and what went wrong."""
    way, path = shred(number, folder / "out")
    before = snapshot(folder / "out")
    name = path.relative_to(folder / "out").as_posix()
    checked = run(CHECK, folder)
    case = Case("damage", number, CHECK, codes=FAULTY)
    wrong = faults(case, checked)
    if changed := differences(before, snapshot(folder / "out")):
        wrong.append(f"the check changed {', '.join(changed)}")
    if path.suffix == ".pdf" and path.exists():
        words = ("print", f"out/{name}", "--out", "job.pdf")
        printed = run(words, folder)
        wrong += faults(Case("damage", number, words, named=(path.name,)), printed)
        if printed.code and (folder / "job.pdf").exists():
            wrong.append("half done: job.pdf")
    return way, checked.code == 6, [f"{number}: {name} {way}: {line}" for line in wrong]
