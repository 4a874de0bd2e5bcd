"""Random damages of the files of a workbook, the same for the same seed.

In: a folder that a build wrote, and a seed. Out: the folder with one file damaged, and a
sentence that says how. ``check`` must tell each in sentences, or find nothing wrong.
"""

from __future__ import annotations

import json
import random
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

FILES = ("workbook.pdf", "answer-key.pdf", "answers.pdf", "key.json")
SEED = 11
_STRANGE: tuple[Any, ...] = (
    None,
    True,
    -1,
    0,
    10**30,
    1e300,
    "",
    "²",
    "9" * 5000,
    "\ud800",
    "/Kids [1 0 R]",
    [],
    {},
    [[]],
    [0, 0, 1e5, 1e5],
)
_TOKENS = (
    (b" 0 R", b" 9 R"),
    (b"/Kids", b"/Kodz"),
    (b"/FlateDecode", b"/FooDecode"),
    (b"/MediaBox [ 0 0 ", b"/MediaBox [ NaN "),
    (b"/MediaBox [ 0 0 ", b"/MediaBox [ 9 9e"),
    (b"/Length ", b"/Length -"),
    (b"/Length ", b"/Length 9"),
    (b"/Type /Page", b"/Type /Pags"),
    (b"/ToUnicode", b"/ToUnicorn"),
    (b"/Subtype", b"/Subtipe"),
    (b"/Resources", b"/Resaurces"),
    (b"endobj", b"endibj"),
    (b"endstream", b"endstroom"),
    (b"xref", b"xrof"),
    (b"startxref", b"startxrof"),
    (b"trailer", b"troiler"),
    (b"%%EOF", b"%%EOG"),
    (b"/Root", b"/Roof"),
    (b"<<", b"<"),
    (b">>", b"]"),
)


class Damage(NamedTuple):
    """One damage: the file, how it was damaged, and its new bytes."""

    file: str
    how: str
    data: bytes


def damages(good: Path, count: int, seed: int = SEED) -> Iterator[Damage]:
    """``count`` damages of the files in ``good``, in turn over the four files."""
    for number in range(count):
        rng = random.Random(f"{seed} {number}")
        file = FILES[number % len(FILES)]
        data = (good / file).read_bytes()
        ways = _OF_JSON if file.endswith(".json") else _OF_PDF
        way = rng.choice(ways)
        yield Damage(file, f"{number}: {way.__name__.strip('_')} in {file}", way(data, rng))


def damaged(good: Path, damage: Damage, into: Path) -> Path:
    """A copy of the folder ``good`` at ``into`` with ``damage``."""
    shutil.rmtree(into, ignore_errors=True)
    shutil.copytree(good, into)
    (into / damage.file).write_bytes(damage.data)
    return into


def _cut_short(data: bytes, rng: random.Random) -> bytes:
    return data[: rng.randrange(len(data))]


def _bytes_changed(data: bytes, rng: random.Random) -> bytes:
    hurt = bytearray(data)
    for _ in range(rng.choice((1, 8, 64))):
        hurt[rng.randrange(len(hurt))] = rng.randrange(256)
    return bytes(hurt)


def _piece_lost(data: bytes, rng: random.Random) -> bytes:
    start = rng.randrange(len(data))
    return data[:start] + data[start + rng.choice((1, 17, 1000)) :]


def _piece_twice(data: bytes, rng: random.Random) -> bytes:
    start = rng.randrange(len(data))
    end = start + rng.choice((3, 100, 5000))
    return data[:end] + data[start:end] + data[end:]


def _token_changed(data: bytes, rng: random.Random) -> bytes:
    there = [pair for pair in _TOKENS if pair[0] in data]
    old, new = rng.choice(there)
    places = data.split(old)
    place = rng.randrange(1, len(places))
    return old.join(places[:place]) + new + old.join(places[place:])


def _value_changed(data: bytes, rng: random.Random) -> bytes:
    found = json.loads(data)
    container, key = rng.choice(list(_places(found)))
    container[key] = rng.choice(_STRANGE)
    return json.dumps(found).encode()


def _entry_lost(data: bytes, rng: random.Random) -> bytes:
    found = json.loads(data)
    container, key = rng.choice(list(_places(found)))
    del container[key]
    return json.dumps(found).encode()


def _entry_twice(data: bytes, rng: random.Random) -> bytes:
    found = json.loads(data)
    container, key = rng.choice([place for place in _places(found) if isinstance(place[0], list)])
    container.insert(key, container[key])
    return json.dumps(found).encode()


def _other_encoding(data: bytes, rng: random.Random) -> bytes:
    return data.decode().encode(rng.choice(("utf-16", "utf-32", "utf-8-sig")))


def _nested(data: bytes, rng: random.Random) -> bytes:
    return b"[" * rng.choice((500, 100_000)) + data


def _places(value: Any) -> Iterator[tuple[Any, Any]]:
    """Every place in a JSON value, as a container and the key or index in it."""
    entries = value.items() if isinstance(value, dict) else enumerate(value)
    for key, one in list(entries):
        yield value, key
        if isinstance(one, dict | list):
            yield from _places(one)


_Way = Callable[[bytes, random.Random], bytes]
_PLAIN: tuple[_Way, ...] = (_cut_short, _bytes_changed, _piece_lost, _piece_twice)
_OF_PDF: tuple[_Way, ...] = (*_PLAIN, _token_changed, _token_changed, _token_changed)
_OF_JSON: tuple[_Way, ...] = (
    *_PLAIN,
    _value_changed,
    _value_changed,
    _value_changed,
    _entry_lost,
    _entry_lost,
    _entry_twice,
    _other_encoding,
    _nested,
)
