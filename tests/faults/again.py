"""Runs one case again, and leaves its folder: ``python tests/faults/again.py "roster 17"``."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from case import faults
from kinds import KINDS
from limits import isolated
from made import make


def main() -> None:
    kind, _, number = sys.argv[1].rpartition(" ")
    place = Path(tempfile.mkdtemp(prefix="case-"))
    case = KINDS[kind].make(int(number), make(place / "made"))
    outcome = isolated(case, place / "case")
    print(place, case.words, outcome, *faults(case, outcome), sep="\n")


if __name__ == "__main__":
    main()
