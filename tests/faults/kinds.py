"""The kinds of bad inputs, and how many of each there are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import bad_files
import bad_marks
import bad_records
import bad_studios
import bad_tables
import bad_toml
import bad_words
import large_files
from case import Case
from made import Made


@dataclass(frozen=True)
class Kind:
    """``make`` gives the case of a number; ``alone``: each needs a process of its own."""

    name: str
    count: int
    make: Callable[[int, Made], Case]
    alone: bool = False


KINDS = {
    kind.name: kind
    for kind in (
        Kind("roster", 320, lambda number, made: bad_tables.roster(number)),
        Kind("encoding", 120, lambda number, made: bad_tables.encoding(number)),
        Kind("template", 320, lambda number, made: bad_toml.template(number)),
        Kind("fingering", 200, lambda number, made: bad_toml.fingering(number)),
        Kind("option", 300, lambda number, made: bad_words.option(number)),
        Kind("name", 160, lambda number, made: bad_words.name(number)),
        Kind("record", 240, lambda number, made: bad_files.record(number, made.build)),
        Kind("mark table", 160, lambda number, made: bad_tables.mark_table(number, made.build)),
        Kind("pdf", 120, lambda number, made: bad_files.pdf(number, made.build)),
        Kind("settings", 120, bad_studios.settings),
        Kind("studio option", 80, bad_studios.studio_option),
        Kind("points table", 120, bad_marks.points_table),
        Kind("marks json", 100, bad_marks.marks_json),
        Kind("returned", 80, bad_marks.returned),
        Kind("studio record", 120, bad_records.studio_record),
        Kind(
            "file kind",
            160,
            lambda number, made: bad_files.kind_of_file(number, made.build),
            alone=True,
        ),
        Kind("large", 20, lambda number, made: large_files.large(number, made.build), alone=True),
        Kind("surroundings", 60, lambda number, made: bad_files.surroundings(number), alone=True),
    )
}
