"""The kinds of bad inputs, and how many of each there are."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import bad_files
import bad_tables
import bad_toml
import bad_words
import large_files
from case import Case

Files = Mapping[str, bytes]


@dataclass(frozen=True)
class Kind:
    """``make`` gives the case of a number; ``alone``: each needs a process of its own."""

    name: str
    count: int
    make: Callable[[int, Files], Case]
    alone: bool = False


KINDS = {
    kind.name: kind
    for kind in (
        Kind("roster", 320, lambda number, studio: bad_tables.roster(number)),
        Kind("encoding", 120, lambda number, studio: bad_tables.encoding(number)),
        Kind("template", 320, lambda number, studio: bad_toml.template(number)),
        Kind("fingering", 200, lambda number, studio: bad_toml.fingering(number)),
        Kind("option", 300, lambda number, studio: bad_words.option(number)),
        Kind("name", 160, lambda number, studio: bad_words.name(number)),
        Kind("record", 240, bad_files.record),
        Kind("mark table", 160, bad_tables.mark_table),
        Kind("pdf", 120, bad_files.pdf),
        Kind("file kind", 160, bad_files.kind_of_file, alone=True),
        Kind("large", 20, large_files.large, alone=True),
        Kind("surroundings", 60, lambda number, studio: bad_files.surroundings(number), alone=True),
    )
}
