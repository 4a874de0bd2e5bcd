"""Rosters and mark sheets with mistakes: cells, columns, quotation marks, encodings."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from case import FAULTY, Case, random
from hostile import encoded, spoiled, text

from workbook.record.files import MARK_TABLE

Table = list[list[str]]

TINY = b"""title = "Tiny"
[[section]]
family = "note-names"
clefs = "treble"
count = 1
points = 1
"""
"""A template of one exercise: what is built of it takes a moment."""

_SETTINGS = (
    ("size", "large"),
    ("paper", "a4"),
    ("letters", "german"),
    ("steps", "semitone"),
    ("fingering", ""),
    ("# notes", "came late"),
)
"""Columns that a roster may have besides."""
_BUILD = ("build", "roster.csv", "--out", "out", "--template-dir", "mine")


def with_roster(roster: bytes) -> dict[str, bytes]:
    return {"roster.csv": roster, "mine/tiny.toml": TINY}


def roster(number: int) -> Case:
    """A roster after one to three mistakes."""
    rng = random("roster", number)
    table = _good(rng)
    for _ in range(rng.randint(1, 3)):
        rng.choice(MISTAKES)(rng, table)
    data = as_saved(rng, table)
    if rng.random() < 0.2:
        data = spoiled(rng, data)
    return Case("roster", number, _BUILD, with_roster(data), ("roster.csv", "tiny.toml"))


def encoding(number: int) -> Case:
    """A roster of words from many languages, saved as something else or with bytes spoilt."""
    rng = random("encoding", number)
    table = _good(rng)
    for row in table[1:]:
        row[0] = row[0] + text(rng, 2).replace("\0", "")
    data = encoded(rng, _csv(table, ",", "\r\n"))
    if rng.random() < 0.5:
        data = spoiled(rng, data)
    return Case("encoding", number, _BUILD, with_roster(data), ("roster.csv",))


def mark_table(number: int, studio: dict[str, bytes]) -> Case:
    """The mark sheet of a good build after mistakes: it is checked, or built over.

    ``studio`` has the files of the build by their names.
    """
    rng = random("mark table", number)
    lines = studio[MARK_TABLE].decode("utf-8-sig").split("\r\n")
    table = [line.split(",") for line in lines if line]
    for _ in range(rng.randint(1, 4)):
        rng.choice(MISTAKES)(rng, table)
    data = as_saved(rng, table)
    if rng.random() < 0.4:
        data = spoiled(rng, data)
    files = {f"out/{name}": content for name, content in studio.items()}
    files |= {f"out/{MARK_TABLE}": data, **with_roster(_csv(_good(rng), ",", "\n").encode())}
    words = ("check", "out") if rng.random() < 0.6 else _BUILD
    return Case("mark table", number, words, files, (MARK_TABLE, "mark-sheet.pdf"), FAULTY)


def _good(rng: Random) -> Table:
    keys = ("C major", "F# minor; Bb major", "all major", "a minor")
    names = ("Ada Lee", "Zoë Okafor", "Ilio Dune", "Pippa Wren", "Ada Lee")
    rows = [
        [name, "tiny", rng.choice(keys), f"Week {place}", str(place)]
        for place, name in enumerate(rng.sample(names, rng.randint(1, 3)))
    ]
    settings = dict(rng.sample(_SETTINGS, rng.choice((0, 0, 1, 3))))
    rows = [[*row, *settings.values()] for row in rows]
    return [["student", "template", "keys", "title", "seed", *settings], *rows]


def _cell(rng: Random, table: Table) -> tuple[int, int]:
    rows = [place for place, row in enumerate(table) if row]
    if not rows:
        table.append([""])
        rows = [len(table) - 1]
    row = rng.choice(rows)
    return row, rng.randrange(len(table[row]))


def _hostile_cell(rng: Random, table: Table) -> None:
    row, place = _cell(rng, table)
    table[row][place] = text(rng)


def _longer_cell(rng: Random, table: Table) -> None:
    row, place = _cell(rng, table)
    table[row][place] += rng.choice((" ", "x", "é", '"')) * rng.choice((1, 200, 140_000))


def _misspelt(rng: Random, table: Table) -> None:
    row, place = _cell(rng, table)
    word = table[row][place]
    at = rng.randrange(len(word) + 1)
    table[row][place] = word[:at] + rng.choice(("", "x", " ", "é")) + word[at + 1 :]


def _emptied(rng: Random, table: Table) -> None:
    row, place = _cell(rng, table)
    table[row][place] = rng.choice(("", " ", "\u00a0", "\u200b"))


def _dropped(rng: Random, table: Table) -> None:
    row, place = _cell(rng, table)
    del table[row][place]


def _inserted(rng: Random, table: Table) -> None:
    row, place = _cell(rng, table)
    table[row].insert(place, rng.choice(("", "C major", text(rng, 1))))


def _swapped(rng: Random, table: Table) -> None:
    row, place = _cell(rng, table)
    other, there = _cell(rng, table)
    cells = table[row][place], table[other][there]
    table[other][there], table[row][place] = cells


def _without_row(rng: Random, table: Table) -> None:
    row, _ = _cell(rng, table)
    del table[row]


def _twice(rng: Random, table: Table) -> None:
    row, _ = _cell(rng, table)
    table[row:row] = [list(table[row])] * rng.choice((1, 1, 300))


def _column(rng: Random, table: Table) -> None:
    place, head = rng.randint(0, 5), rng.choice(("", "note", "keys", "A of", "student", text(rng)))
    for number, row in enumerate(table):
        row.insert(place, head if number == 0 else rng.choice(("", "8", text(rng, 1))))


def _note_below(rng: Random, table: Table) -> None:
    table.append([])
    table.append([rng.choice(("average", "ask about", text(rng)))])


MISTAKES: tuple[Callable[[Random, Table], None], ...] = (
    _hostile_cell,
    _hostile_cell,
    _longer_cell,
    _misspelt,
    _misspelt,
    _emptied,
    _dropped,
    _inserted,
    _swapped,
    _without_row,
    _twice,
    _column,
    _note_below,
)


def as_saved(rng: Random, table: Table) -> bytes:
    """The table as a CSV file, as any program may save it."""
    separator, end = rng.choice(",,,;\t|"), rng.choice(("\r\n", "\r\n", "\n", "\r", "\n\n"))
    words = _csv(table, separator, end, rng.random() < 0.8)
    if rng.random() < 0.1:
        words = f"sep={rng.choice(',;x')}{end}{words}"
    if rng.random() < 0.1:
        words = f"{text(rng)}{end}{words}"
    return encoded(rng, words)


def _csv(table: Table, separator: str, end: str, quoted: bool = True) -> str:
    def cell(words: str) -> str:
        if quoted and any(c in words for c in (separator, '"', "\n", "\r")):
            return '"' + words.replace('"', '""') + '"'
        return words

    return end.join(separator.join(map(cell, row)) for row in table) + end
