"""Runs many cases in one process, through click's own runner.

``python batch.py FOLDER MADE`` reads lines ``kind TAB number`` and writes for each a line
of JSON when it begins and one when it ends, so that who reads knows where it got stuck.
"""

from __future__ import annotations

import json
import os
import pickle
import resource
import shutil
import sys
import tempfile
import time
import traceback
from dataclasses import asdict
from multiprocessing.util import get_temp_dir
from pathlib import Path
from unittest.mock import patch

from case import MOST_MEGABYTES, Case, Outcome, differences, snapshot
from click.testing import CliRunner, Result
from kinds import KINDS
from limits import bound, peak

from workbook import cli


def main() -> None:
    place, made = Path(sys.argv[1]), pickle.loads(Path(sys.argv[2]).read_bytes())
    bound(os.getpid())
    get_temp_dir()  # that of worker processes lives as long as this process, so not in ours
    temporary = place / "tmp"
    temporary.mkdir(parents=True, exist_ok=True)
    tempfile.tempdir = str(temporary)
    os.environ["TMPDIR"] = str(temporary)
    for line in sys.stdin:
        kind, number = line.rstrip("\n").split("\t")
        _say({"begins": [kind, int(number)]})
        outcome = _outcome(KINDS[kind].make(int(number), made), place / "case", temporary)
        _say({"ends": [kind, int(number)], "outcome": asdict(outcome)})
        if outcome.megabytes > MOST_MEGABYTES:
            return  # the peak stays; another process takes the rest


def _say(line: dict[str, object]) -> None:
    sys.stdout.write(json.dumps(line) + "\n")
    sys.stdout.flush()


def _outcome(case: Case, folder: Path, temporary: Path) -> Outcome:
    case.write(folder)
    before, here = snapshot(folder), Path.cwd()
    os.chdir(folder)
    start = time.monotonic()
    around = patch.dict(os.environ, case.environment)
    around.start()
    try:
        result = CliRunner().invoke(cli.main, list(case.words))
        for more in case.after:
            if result.exit_code == 0:
                result = CliRunner().invoke(cli.main, list(more))
                if result.exit_code:
                    result.exit_code += 100  # no code that a case allows
        after, crash = snapshot(folder), _crash(result)
        code, output, lost = result.exit_code, result.output, case.lost(folder)
        for more in case.then:
            if not crash:
                result = CliRunner().invoke(cli.main, list(more))
                output, crash = output + result.output, _crash(result)
    finally:
        around.stop()
        os.chdir(here)
    seconds = time.monotonic() - start
    changed = differences(before, after)
    if code == 0:
        changed = tuple(name for name in changed if _strange(name))
    else:
        changed = tuple(name for name in changed if not name.startswith(case.changes))
    changed += tuple(f"TMPDIR/{path.name}" for path in temporary.iterdir())
    changed += (f"lost: {lost}",) if lost else ()
    shutil.rmtree(folder)
    for left in temporary.iterdir():
        shutil.rmtree(left) if left.is_dir() else left.unlink()
    return Outcome(code, output, seconds, _peak(), changed, crash)


def _peak() -> float:
    """The most memory, in MB, of this process and of those that it started."""
    children = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1000
    # what the system counts of this process begins with the peak of the one that started it
    own = peak("self") or resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000
    return max(own, children)


def _strange(name: str) -> bool:
    """Whether a good build has no business with an entry of the case's folder."""
    first, _, rest = name.partition("/")
    if first == "out":
        return rest == "notes.txt" or rest.startswith(".building")
    return name in {"roster.csv", "mine.toml", "page.pdf", "pwned"} or first == "mine"


def _crash(result: Result) -> str:
    if result.exception is None or isinstance(result.exception, SystemExit):
        return ""
    return "".join(traceback.format_exception(*result.exc_info))[-6000:]


if __name__ == "__main__":
    main()
