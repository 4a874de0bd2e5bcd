"""Files that are right or wrong, but above all large: the answer must come all the same."""

from __future__ import annotations

import copy
import json
from collections.abc import Mapping
from random import Random

from bad_tables import TINY, with_roster
from case import FAULTY, Case, random

from workbook.record.files import KEY, MARK_TABLE

_BUILD = ("build", "roster.csv", "--out", "out", "--template-dir", "mine")
_TOLD = ("roster.csv", "tiny.toml", "mine.toml", KEY, MARK_TABLE)


def large(number: int, studio: Mapping[str, bytes]) -> Case:
    """A file of some megabytes."""
    rng = random("large", number)
    words, files = _MAKERS[number % len(_MAKERS)](rng, studio)
    return Case("large", number, words, files, _TOLD, FAULTY, replaces=False)


def _bad_keys(rng: Random, studio: Mapping[str, bytes]):
    rows = (
        f'S{row},tiny,"{";".join(rng.choice("HIJKxyz") + str(n % 100) for n in range(25_000))}"'
        for row in range(4)
    )
    return _BUILD, with_roster("\n".join(("student,template,keys", *rows)).encode())


def _bad_rows(rng: Random, studio: Mapping[str, bytes]):
    rows = (f"S{n},{rng.choice(('tiny', 'tinny', ''))},H major" for n in range(50_000))
    return _BUILD, with_roster("\n".join(("student,template,keys", *rows)).encode())


def _many_columns(rng: Random, studio: Mapping[str, bytes]):
    head = ",".join(("student,template,keys", *(f"c{n}" for n in range(100_000))))
    return _BUILD, with_roster(f"{head}\nAda,tiny,C major\n".encode())


def _many_templates(rng: Random, studio: Mapping[str, bytes]):
    rows = (f"S{n},template-{n},C major" for n in range(10_000))
    return _BUILD, with_roster("\n".join(("student,template,keys", *rows)).encode())


def _many_sections(rng: Random, studio: Mapping[str, bytes]):
    files = with_roster(b"student,template,keys\nAda,tiny,C major\n")
    section = TINY.partition(b"\n")[2]
    files["mine/tiny.toml"] = b'title = "Many"\n' + section * 10_000
    return _BUILD, files


def _many_mistakes(rng: Random, studio: Mapping[str, bytes]):
    files = with_roster(b"student,template,keys\nAda,tiny,C major\n")
    lines = (f"key{n} = {rng.randrange(9)}" for n in range(30_000))
    files["mine/tiny.toml"] = TINY + "\n".join(lines).encode()
    return _BUILD, files


def _long_text(rng: Random, studio: Mapping[str, bytes]):
    files = with_roster(b"student,template,keys\nAda,tiny,C major\n")
    words = " ".join(rng.choice(("play", "each", "row")) for _ in range(100_000))
    words += " " + "x" * 10_000
    files["mine/tiny.toml"] = f'instructions = "{words}"\n'.encode() + TINY
    return _BUILD, files


def _many_fingerings(rng: Random, studio: Mapping[str, bytes]):
    entry = '[[scale]]\nkeys = "C major"\nright = "{}"\n'
    entries = (entry.format(rng.choice(("123", "123123412312345"))) for _ in range(20_000))
    files = with_roster(b"student,template,keys\nAda,tiny,C major\n")
    files["mine.toml"] = "".join(entries).encode()
    return (*_BUILD, "--fingering", "mine.toml"), files


def _many_items(rng: Random, studio: Mapping[str, bytes]):
    (name,) = [name for name in studio if name.endswith(KEY)]
    data = json.loads(studio[name])
    items = data["sections"][0]["items"]
    while len(json.dumps(items)) < 6_000_000:
        items += copy.deepcopy(items)
    if rng.random() < 0.5:
        for number, item in enumerate(items, 1):
            item["number"] = number
    files = {f"out/{file}": content for file, content in studio.items()}
    files[f"out/{name}"] = json.dumps(data).encode()
    return ("check", "out"), files


def _many_marks(rng: Random, studio: Mapping[str, bytes]):
    files = {f"out/{file}": content for file, content in studio.items()}
    row = studio[MARK_TABLE].split(b"\r\n")[1]
    rows = (row.replace(b"Ada", b"S%d" % n) for n in range(100_000))
    files[f"out/{MARK_TABLE}"] = studio[MARK_TABLE] + b"\r\n".join(rows)
    return rng.choice((("check", "out"), _BUILD)), {
        **files,
        **with_roster(b"student,template,keys\nAda Lee,tiny,C major\n"),
    }


_MAKERS = (
    _bad_keys,
    _bad_rows,
    _many_columns,
    _many_templates,
    _many_sections,
    _many_mistakes,
    _long_text,
    _many_fingerings,
    _many_items,
    _many_marks,
)
