"""Requests to the desk that no page of it would send: an answer each time, and no fault of ours."""

from __future__ import annotations

import os
import shutil
import socket
import time
from dataclasses import dataclass
from random import Random
from urllib.parse import quote_plus

import pytest
from case import MOST_MEGABYTES, MOST_SECONDS, PYTHON, differences, random, snapshot
from hostile import number as edge
from hostile import text
from limits import peak
from made import STUDIO, WEEK, Made

from tests.desk.raw import Raw
from workbook.weeks.studios import DATA

_REQUESTS = 400
_SAMPLE = 8
Fields = list[tuple[str, str]]

_GOOD: tuple[tuple[str, str, Fields], ...] = (
    ("POST", "/mark/CODE/1", [("touch", "1 wrong")]),
    ("POST", "/roster", [("seen", "x"), ("c2.0", "Ada Lee"), ("n0.0", "Bo"), ("remove", "")]),
    ("POST", "/term", [("first_lesson", WEEK), ("exam", "2027-06-05"), ("weeks_off", "")]),
    ("GET", "/student/1", []),
    ("POST", "/templates", [("base", "tiny"), ("title", "Spring")]),
    ("POST", "/template/tiny/1", [("count", "1"), ("points", "1"), ("title", "Notes")]),
    ("POST", "/fingering", [("kind", "scale"), ("key", "C major"), ("hand", "right"), ("f0", "1")]),
    ("POST", "/roster/check", [("c2.1", "tiny"), ("n0.2", "C major")]),
    ("POST", "/build", [("week", "soon"), ("what", "next"), ("student", "Ada Lee")]),
    ("POST", "/student/1", [("name", "Ada Moor"), ("do", "leave")]),
    ("GET", "/fingering", [("kind", "arpeggio"), ("key", "F# minor"), ("form", "root")]),
    ("POST", "/template/tiny/1/sections", [("do", "add"), ("family", "arpeggio"), ("to", "1")]),
    ("GET", "/mark/CODE/1", [("answers", "hidden")]),
    ("GET", "/mark/CODE/1.css", []),
    ("GET", "/sheet/CODE/workbook.pdf", []),
    ("GET", f"/week/{WEEK}/workbook.pdf", []),
    ("POST", "/template/tiny/1/head", [("title", "Tiny"), ("instructions", "")]),
    ("POST", "/template/tiny/1/check", [("count", "1")]),
    ("GET", "/example/1/workbook.png", []),
    ("GET", "/mark/CODE/state", []),
    ("POST", "/begin", [("student0", "Ada"), ("level0", "1")]),
    ("POST", "/look", [("do", "back")]),
    ("POST", "/mark/CODE/1", [("do", "undo")]),
    ("GET", "/term.pdf", []),
    ("GET", "/roster", []),
)
"""Requests that the pages of the desk send, or nearly."""


@dataclass(frozen=True)
class Request:
    """What goes over the wire, and its first line, to be told; ``ends`` if it is then cut off."""

    line: str
    data: bytes
    ends: bool


def request(number: int, made: Made, door) -> Request:
    """A request with one to three mistakes."""
    rng = random("desk request", number)
    method, path, fields = _GOOD[number % len(_GOOD)]
    path, fields = path.replace("CODE", made.code), list(fields)
    for _ in range(rng.randint(1, 3)):
        kind = rng.randrange(6)
        if kind == 0 and fields:
            place = rng.randrange(len(fields))
            fields[place] = (fields[place][0], _value(rng))
        elif kind == 1 and fields:
            place = rng.randrange(len(fields))
            fields[place] = (
                rng.choice((_value(rng), f"c{edge(rng)}.{edge(rng)}")),
                fields[place][1],
            )
        elif kind == 2:
            parts = path.split("/")
            parts[rng.randrange(1, len(parts))] = quote_plus(_value(rng).encode("utf-8", "replace"))
            path = "/".join(parts)
        elif kind == 3 and fields:
            fields += [rng.choice(fields)] * rng.choice((1, 3_000))
        elif kind == 4:
            method = rng.choice(("GET", "POST", "PUT", "HEAD", "DELETE", "BREW"))
        elif fields:
            del fields[rng.randrange(len(fields))]
    return _written(rng, method, path, fields, door)


def _value(rng: Random) -> str:
    kind = rng.randrange(5)
    if kind == 0:
        return str(edge(rng))
    if kind == 1:
        return rng.choice(
            ("", "1 right", "1,1,1 empty", "0001-01-01", "9999-12-31", "..", "1" * 20)
        )
    if kind == 2:
        return rng.choice(
            ("\0", "\r\n", "\x1b[31m", "%", "%ff", "\ud800", "x" * 50_000, "9" * 5000)
        )
    return text(rng, 2)


def _written(rng: Random, method: str, path: str, fields: Fields, door) -> Request:
    words = "&".join(f"{_escaped(rng, name)}={_escaped(rng, value)}" for name, value in fields)
    body = words.encode("latin-1", "replace") if method not in ("GET", "HEAD") else b""
    if not body and words:
        path = f"{path}?{words}"
    kind = rng.choice(("application/x-www-form-urlencoded",) * 6 + _KINDS)
    if "multipart" in kind and rng.random() < 0.7:
        body = b"".join(
            b'--x\r\nContent-Disposition: form-data; name="%s"%s\r\n\r\n%s\r\n'
            % (
                name.encode("utf-8", "replace"),
                rng.choice(_FILES),
                value.encode("utf-8", "replace"),
            )
            for name, value in fields
        ) + rng.choice((b"--x--\r\n", b""))
    length = len(body) if rng.random() < 0.9 else rng.choice((0, 1, 10**30, -1, 5_000_000))
    headers = [
        f"Host: {door.host}",
        f"Cookie: {door.cookie}={door._session}{rng.choice(_COOKIES)}",
        f"Origin: {door.origin}",
        f"Content-Type: {kind}",
        f"Content-Length: {length}" if body or rng.random() < 0.1 else "X: y",
        f"Accept: {rng.choice(('text/html', 'application/json'))}",
        "Connection: close",
    ]
    line = f"{method} {path.replace(' ', '+')} HTTP/1.1"
    head = "\r\n".join([line, *headers, "", ""])
    return Request(line[:120], head.encode("utf-8", "replace") + body, length > len(body))


_KINDS = (
    "multipart/form-data; boundary=x",
    "multipart/form-data",
    "application/json",
    "x",
    "text/;",
)
_COOKIES = ("", "", "; workbook-answers=²", "; =;;")
_FILES = (b"", b"", b'; filename="a.pdf"', b"; filename*=utf-8''..%2f")


def _escaped(rng: Random, words: str) -> str:
    if rng.random() < 0.1:
        return words.replace("&", "").encode("ascii", "replace").decode().replace("\r", "")
    return quote_plus(words.encode("utf-8", "surrogatepass"))


@pytest.mark.parametrize(
    "count",
    [_SAMPLE, pytest.param(_REQUESTS, marks=pytest.mark.faults)],
    ids=["sample", "all"],
)
def test_requests_to_the_desk(count, made, place, figures, monkeypatch, caplog):
    def lay_out() -> None:
        for name, data in made.begun.items():
            path = place / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)

    lay_out()
    monkeypatch.setenv(DATA, str(place / "data"))
    desk = Raw(place / STUDIO)
    wrong: list[str] = []
    codes: dict[str, int] = {}
    slowest = 0.0
    try:
        before = snapshot(place)
        for number in range(count):
            one = request(number, made, desk.door)
            began = time.monotonic()
            status, answer = _answer(desk.door.port, one)
            seconds = time.monotonic() - began
            slowest = max(slowest, seconds)
            codes[status] = codes.get(status, 0) + 1
            _end_build(desk)
            after = snapshot(place)
            changed = differences(before, after)
            if status.startswith("5") or seconds > MOST_SECONDS:
                wrong.append(f"{number}: {one.line!r}: {status or 'no answer'} in {seconds:.0f} s")
            if words := PYTHON.search(answer):
                wrong.append(f"{number}: {one.line!r}: {words[0]!r}")
            if changed and status.startswith("4"):
                wrong.append(f"{number}: {one.line!r}: {status} but changed {changed[:5]}")
            if changed:
                shutil.rmtree(place / STUDIO)
                shutil.rmtree(place / "data")
                lay_out()
                before = snapshot(place)
    finally:
        desk.close()
    wrong += [
        f"log: {record.getMessage()[:300]} {(record.exc_text or '')[-300:]}"
        for record in caplog.records
        if record.levelname in ("ERROR", "CRITICAL")
    ]
    figures("requests", *sorted(codes), "slowest", "most memory")
    memory = peak(os.getpid())
    figures(count, *(codes[code] for code in sorted(codes)), f"{slowest:.1f} s", f"{memory:.0f} MB")
    assert not wrong, f"{len(wrong)} faults\n" + "\n".join(wrong)
    assert memory < MOST_MEGABYTES


def _end_build(desk: Raw) -> None:
    """A mistaken day may be a day after all: then a build has begun."""
    builds = desk.desk.builds
    while builds.job and builds.job.running:
        builds.cancel()
        time.sleep(0.05)


def _answer(port: int, request: Request) -> tuple[str, str]:
    """The status of the answer, "" if none came, and its text."""
    with socket.create_connection(("127.0.0.1", port), timeout=MOST_SECONDS) as one:
        try:
            one.sendall(request.data)
            if request.ends:
                one.shutdown(socket.SHUT_WR)
            found = b"".join(iter(lambda: one.recv(65536), b""))
        except (ConnectionError, OSError):
            found = b""
    words = found.decode("utf-8", "replace").split(" ", 2)
    return (words[1], words[2]) if len(words) == 3 else ("", "")
