"""Bad words: values of options, and hostile names in every field that a teacher fills in."""

from __future__ import annotations

import csv
import io
import json
from random import Random

from bad_tables import TINY, with_roster
from case import BAD_FOLDER, Case, random
from hostile import name as words_of
from hostile import number as edge
from hostile import text

_ROSTER = b"student,template,keys\nAda Lee,tiny,C major\n"
_MINE = ("--template-dir", "mine")

_COMMANDS: tuple[tuple[tuple[str, ...], dict[str, tuple[str, ...]]], ...] = (
    (
        ("build", "roster.csv", "--out", "out", *_MINE),
        {
            "--out": ("out", "roster.csv", "mine/tiny.toml", "roster.csv/x"),
            "--seed": ("1",),
            "--student": ("Ada Lee", "ada"),
            "--template-dir": ("mine", "roster.csv", "nowhere"),
            "--forms": ("1", "27"),
            "--fingering": ("mine/tiny.toml", "roster.csv", "mine"),
            "--letters": ("german", "German", "klingon"),
            "--steps": ("semitone", "half step"),
            "--paper": ("a4", "A5"),
            "--size": ("large", "Huge"),
            "--cluster": ("local:", "local:0", "local:x", "tcp://", "http://x"),
        },
    ),
    (
        ("study", "C major", "--level", "1", "--out", "out"),
        {
            "--level": ("1", "0", "11"),
            "--faded": ("0", "0,50", "30", "50,", "100%"),
            "--template": ("first-steps", "nothing"),
            "--out": ("out", "roster.csv"),
            "--paper": ("letter",),
            "--fingering": ("roster.csv",),
        },
    ),
    (
        ("preview", "note-names", "--key", "C major", "--out", "try.pdf"),
        {
            "--key": ("C major", "H major", "all", "C# dorian"),
            "--hand": ("left", "third"),
            "--set": ("notes=chromatic", "notes=", "=", "octaves=2"),
            "--given": ("0", "31"),
            "--seed": ("1",),
            "--out": ("x.png", "x.doc", "roster.csv", "mine/.pdf", "roster.csv/x.pdf"),
        },
    ),
    (
        ("print", "page.pdf", "--out", "job.pdf"),
        {
            "--out": ("job.pdf", "page.pdf", "x.doc", "roster.csv/x.pdf", "mine"),
            "--copies": ("1", "0", "1000"),
            "--onto": ("a4", "A0"),
        },
    ),
    (("check", "mine"), {"--out": ("x",)}),
    (("templates", "show", "tiny", *_MINE), {"--template-dir": ("mine", "roster.csv", "nowhere")}),
    (("templates", "copy", "tiny", "copy.toml", *_MINE), {"--template-dir": ("nowhere",)}),
    (("cache",), {"--clear": ("x",)}),
)
"""Commands that are right, and values for their options, right ones and near misses."""

_PAGE = b"%PDF-1.4\nno page\n%%EOF\n"


def option(number: int) -> Case:
    """A command of which one or two values are wrong, or an argument is."""
    rng = random("option", number)
    words, options = rng.choice(_COMMANDS)
    words = list(words)
    told = ["Usage", "Error", "roster.csv", "tiny.toml", "page.pdf"]
    for _ in range(rng.randint(1, 2)):
        if rng.random() < 0.2 and len(words) > 1:
            wrong = words[rng.randrange(1, len(words))] = word(rng)
            told.append(wrong[:20])
        elif rng.random() < 0.1:
            words.insert(rng.randint(1, len(words)), word(rng))
        else:
            name = rng.choice(list(options))
            value = rng.choice(options[name]) if rng.random() < 0.4 else word(rng)
            words += rng.choice(((name, value), (f"{name}={value}",), (name,)))
            told.append(value if value.isascii() and len(value) < 60 else name)
    files = {**with_roster(_ROSTER), "page.pdf": _PAGE}
    clean = tuple(one.replace("\0", "") for one in words)
    return Case("option", number, clean, files, tuple(filter(None, told)), BAD_FOLDER | {6})


def word(rng: Random) -> str:
    """A word that no option takes, or hardly any."""
    kind = rng.randrange(5)
    if kind == 0:
        return str(edge(rng))
    if kind == 1:
        return rng.choice(
            ("", " ", "\t", "-", "--", "-x", "--nothing", "=", "0x1", "1e3", "٣", "²")
        )
    if kind == 2:
        return rng.choice(("nowhere", "mine", "mine/tiny.toml", "x" * 300, "a/" * 30, "./", "out/"))
    return text(rng, 2)


def name(number: int) -> Case:
    """Hostile text in every field that reaches a page; what is built must pass the check."""
    rng = random("name", number)
    rows = [["student", "template", "keys", "title", "seed"]]
    for _ in range(rng.randint(1, 2)):
        title = rng.choice(("", words_of(rng)))
        rows.append([words_of(rng), "tiny", "C major", title, words_of(rng)])
    table = io.StringIO()
    csv.writer(table).writerows(rows)
    words = table.getvalue()
    field = rng.choice(("title", "instructions", "level", "heading", ""))
    template = TINY.decode()
    if field == "heading":
        template = template.replace("count", f"title = {_string(rng)}\ncount")
    elif field == "title":
        template = template.replace('"Tiny"', _string(rng))
    elif field:
        template = f"{field} = {_string(rng)}\n" + template
    files = with_roster(words.encode("utf-8", "replace"))
    files["mine/tiny.toml"] = template.encode("utf-8", "replace")
    words = ("build", "roster.csv", "--out", "out", "--template-dir", "mine")
    told = ("roster.csv", "tiny.toml")
    after = (("check", "out"),)
    return Case("name", number, words, files, told, replaces=False, after=after)


def _string(rng: Random) -> str:
    return json.dumps(words_of(rng), ensure_ascii=False).replace("\x7f", "")
