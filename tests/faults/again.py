"""Runs one case again, and leaves its folder: ``python tests/faults/again.py "roster 17"``."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from case import faults, snapshot
from kinds import KINDS
from limits import isolated, run


def main() -> None:
    kind, _, number = sys.argv[1].rpartition(" ")
    place = Path(tempfile.mkdtemp(prefix="case-"))
    case = KINDS[kind].make(int(number), _studio(place / "studio"))
    outcome = isolated(case, place / "case")
    print(place, case.words, outcome, *faults(case, outcome), sep="\n")


def _studio(folder: Path) -> dict[str, bytes]:
    case = KINDS["roster"].make(0, {})
    case.write(folder)
    (folder / "roster.csv").write_text("student,template,keys\nAda Lee,tiny,C major\n", "utf-8")
    run(case.words, folder)
    return {
        name.removeprefix("out/"): (folder / name).read_bytes()
        for name in snapshot(folder)
        if name.startswith("out/") and (folder / name).is_file()
    }


if __name__ == "__main__":
    main()
