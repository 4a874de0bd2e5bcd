"""Files that are not what they should be: damaged records and PDFs, FIFOs, devices, folders."""

from __future__ import annotations

import copy
import json
import os
import socket
from pathlib import Path
from random import Random

from bad_tables import TINY, with_roster
from case import BAD_FOLDER, FAULTY, Case, random
from hostile import encoded, spoiled, text, value

from workbook.record.files import KEY

_ROSTER = b"student,template,keys\nAda Lee,tiny,C major\n"
_MINE = ("--template-dir", "mine")


def record(number: int, studio: dict[str, bytes]) -> Case:
    """``key.json`` with one to three nodes replaced, or spoilt as text, to be checked."""
    rng = random("record", number)
    (name,) = [name for name in studio if name.endswith(KEY)]
    data = json.loads(studio[name])
    for _ in range(rng.randint(1, 3)):
        data = replaced(rng, data)
    words = json.dumps(data, ensure_ascii=rng.random() < 0.5)
    if rng.random() < 0.1:
        words = words.replace('"points"', rng.choice(("points", '"points":1,"points"')), 1)
    if rng.random() < 0.1:
        deep = rng.choice((100, 5000, 200_000))
        words = words.replace('"sections"', '"more":' + "[" * deep + "]" * deep + ',"sections"')
    saved = encoded(rng, words) if rng.random() < 0.2 else words.encode("utf-8", "surrogatepass")
    if rng.random() < 0.2:
        saved = spoiled(rng, saved)
    files = {f"out/{file}": content for file, content in studio.items()}
    files[f"out/{name}"] = saved
    told = (KEY, "workbook.pdf", "answer-key.pdf", "answers.pdf", "mark-sheet.csv")
    return Case("record", number, ("check", "out"), files, told, FAULTY)


def replaced(rng: Random, data: object) -> object:
    """``data`` with one of its nodes, any of them, replaced, taken out, or put in twice."""
    data, nodes = copy.deepcopy(data), []

    def walk(node: object) -> None:
        pairs = node.items() if isinstance(node, dict) else enumerate(node)
        for key, child in list(pairs):
            nodes.append((node, key))
            if isinstance(child, dict | list):
                walk(child)

    if isinstance(data, dict | list):
        walk(data)
    if not nodes:
        return value(rng)
    node, key = rng.choice(nodes)
    kind = rng.randrange(4)
    if kind == 0:
        del node[key]
    elif kind == 1 and isinstance(node, list):
        node.append(node[key])
    elif kind == 2:
        node[key] = str(node[key]) if isinstance(node[key], int | float) else [node[key]]
    else:
        node[key] = value(rng)
    return data


def pdf(number: int, studio: dict[str, bytes]) -> Case:
    """A workbook spoilt as bytes, put together from pieces, or no PDF at all, to be printed."""
    rng = random("pdf", number)
    data = spoilt_pdf(rng, studio)
    words = ("print", "page.pdf", "--out", "job.pdf")
    if rng.random() < 0.4:
        words = (*words, "--booklet", "--onto", rng.choice(("tabloid", "a3", "letter")))
    return Case("pdf", number, words, {"page.pdf": data}, ("page.pdf",), BAD_FOLDER)


def spoilt_pdf(rng: Random, studio: dict[str, bytes]) -> bytes:
    """A PDF of the build, spoilt."""
    data = rng.choice([content for name, content in studio.items() if name.endswith(".pdf")])
    kind = rng.randrange(5)
    if kind < 2:
        for _ in range(rng.choice((1, 5, 50))):
            data = spoiled(rng, data)
    elif kind == 2:
        data = data.replace(*rng.choice(_REPLACED))
    elif kind == 3:
        data = data[: rng.randrange(len(data))] + data[rng.randrange(len(data)) :]
    else:
        data = rng.choice((b"", b"%PDF-1.7\n", rng.randbytes(3000), b"\x89PNG", b"PK\x03\x04"))
    return data


_REPLACED = (
    (b"/FlateDecode", b"/FlateDecodE"),
    (b"/MediaBox [", b"/MediaBox [ nan "),
    (b"/MediaBox [ 0 0 612 792", b"/MediaBox [ 612 792 0 0"),
    (b"/MediaBox", b"/MediaBux"),
    (b"/Kids", b"/Kidz"),
    (b"/Type /Page\n", b"/Type /Pages\n"),
    (b"/Count 1", b"/Count 99999999"),
    (b"/Length", b"/Lengte"),
    (b"/Length ", b"/Length -"),
    (b" 0 R", b" 9 R"),
    (b"endobj", b""),
    (b"startxref", b"startxxxx"),
    (b"xref", b"xxxx"),
    (b"/Root", b"/Rout"),
    (b"612", b"1e999"),
    (b"612", b"-612"),
    (b"612", b"0"),
    (b"[", b"[[[[[[[["),
)
"""Words of a PDF, and what makes nonsense of them."""


def kind_of_file(number: int, studio: dict[str, bytes]) -> Case:
    """Something else where a file or folder is expected: a FIFO, device, socket, link, folder."""
    rng = random("file kind", number)
    files = {
        **with_roster(_ROSTER),
        "mine.toml": b"# none\n",
        **{f"made/{name}": content for name, content in studio.items()},
    }
    made = sorted(name for name in files if name.startswith("made/"))
    build = ("build", "roster.csv", "--out", "out", *_MINE)
    check, job = ("check", "made"), ("print", "made/all-workbooks.pdf", "--out", "job.pdf")
    place, words = rng.choice(
        (
            ("roster.csv", build),
            ("mine/tiny.toml", build),
            ("mine/tiny.toml", ("templates", "show", "tiny", *_MINE)),
            ("mine/tiny.toml", ("templates", "copy", "tiny", "new.toml", *_MINE)),
            ("mine/tiny.toml", ("templates", "list", *_MINE)),
            ("mine", build),
            ("mine.toml", (*build, "--fingering", "mine.toml")),
            ("out", build),
            ("out/mark-sheet.csv", build),
            ("out/Ada-Lee", build),
            ("out/Ada-Lee/workbook.pdf", build),
            ("out", ("study", "C major", "--level", "1", "--out", "out")),
            ("try.pdf", ("preview", "note-names", "--key", "C major", "--out", "try.pdf")),
            ("made", check),
            ("made/all-workbooks.pdf", job),
            ("job.pdf", job),
            *((name, check) for name in made),
        )
    )
    files.pop(place, None)
    for name in [name for name in files if name.startswith(f"{place}/")]:
        del files[name]
    special = rng.choice(list(_SPECIAL))
    told = (
        Path(place).name,
        Path(place).stem,
        "roster.csv",
        "made",
        "Ada-Lee",
        "all-workbooks.pdf",
    )
    return Case(
        "file kind",
        number,
        words,
        files,
        told,
        BAD_FOLDER | FAULTY,
        replaces=False,
        lay=lambda folder: _put(special, folder / place),
    )


def _put(special: str, path: Path) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    _SPECIAL[special](path)


def _socket(path: Path) -> None:
    with socket.socket(socket.AF_UNIX) as one:
        here = Path.cwd()
        os.chdir(path.parent)  # the name of a socket may have 107 bytes
        try:
            one.bind(path.name)
        finally:
            os.chdir(here)


def _full_folder(path: Path) -> None:
    (path / "more").mkdir(parents=True)
    (path / "more" / "mine.txt").write_text("mine")


_SPECIAL = {
    "fifo": os.mkfifo,
    "folder": lambda path: path.mkdir(),
    "full folder": _full_folder,
    "zeros": lambda path: path.symlink_to("/dev/zero"),
    "null": lambda path: path.symlink_to("/dev/null"),
    "full": lambda path: path.symlink_to("/dev/full"),
    "random": lambda path: path.symlink_to("/dev/urandom"),
    "link to nothing": lambda path: path.symlink_to("nowhere/at/all"),
    "link to itself": lambda path: path.symlink_to(path.name),
    "link out": lambda path: path.symlink_to("/usr"),
    "socket": _socket,
    "empty": lambda path: path.write_bytes(b""),
    "zip": lambda path: path.write_bytes(b"PK\x03\x04" + bytes(300)),
    "long line": lambda path: path.write_bytes(b"a" * 5_000_000),
    "nothing but NUL": lambda path: path.write_bytes(bytes(1_000_000)),
}


def surroundings(number: int) -> Case:
    """A good command in a bad place: locale, home, temporary folder, screen, names of folders."""
    rng = random("surroundings", number)
    student = rng.choice(("Ada Lee", "Zoë Łukasz", "שלום", text(rng, 1)))
    words = f'student,template,keys\n"{student.replace(chr(34), "")}",tiny,C major\n'
    out = rng.choice(("out", "März", "出", "a b"))
    environment = {
        "LC_ALL": rng.choice(("C", "POSIX", "xx_YY.UTF-8", "", None)),
        "LANG": rng.choice(("C", None)),
        "PYTHONUTF8": rng.choice(("0", None)),
        "PYTHONIOENCODING": rng.choice(("ascii", "utf-16", None, None)),
        "HOME": rng.choice(("/nowhere", "", "/dev/null", None)),
        "XDG_CACHE_HOME": rng.choice(("/dev/null/x", "relative", None)),
        "COLUMNS": rng.choice(("1", "x", None)),
        "TERM": rng.choice(("dumb", "", None)),
        "WORKBOOK_CACHE": rng.choice(("roster.csv", "/dev/null/x", "cache", "x" * 300, "")),
    }
    if rng.random() < 0.3:
        environment["TMPDIR"] = rng.choice(("/nowhere", "roster.csv", ""))
    if rng.random() < 0.3:
        environment["WORKBOOK_LILYPOND"] = rng.choice(
            ("./lp", "nowhere", "roster.csv", "/bin/true", "/bin/false", "/bin/echo", "mine", "")
        )
    command = rng.choice(
        (
            ("build", "roster.csv", "--out", out, *_MINE),
            ("build", "roster.csv", "--out", out, *_MINE),
            ("preview", "note-names", "--key", "C major", "--out", "try.pdf"),
            ("study", "C major", "--level", "1", "--out", out),
            ("templates", "list"),
            ("cache",),
            ("check", "mine"),
        )
    )
    return Case(
        "surroundings",
        number,
        command,
        {**with_roster(words.encode("utf-8", "replace")), "mine/tiny.toml": TINY},
        (),
        frozenset(range(7)),
        environment=environment,
    )
