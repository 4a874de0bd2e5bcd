"""Texts and values that break what is careless: the syntax of other languages, odd
characters, odd lengths, wrong types. All are made from a seed.
"""

from __future__ import annotations

import json
from random import Random

SYNTAX = (
    "/Kids [1 0 R] /Type /Pages",
    "endobj\n1 0 obj",
    "(((",
    "\\)",
    "<</S /JavaScript>>",
    "stream\nendstream",
    "trailer <</Root 1 0 R>>",
    "%%EOF",
    '\\include "x.ly"',
    '#(system "touch pwned")',
    "%{",
    "%}",
    "\\markup \\column",
    "$(touch pwned)",
    "`touch pwned`",
    "; touch pwned",
    "<script>alert(1)</script>",
    "<b>",
    "&amp;",
    "&#0;",
    "</para>",
    "<font size=999>",
    "=1+1",
    "＝1＋1",
    "+cmd|' /C calc'!A0",
    "@SUM(A1)",
    "\t=1",
    "{0.__class__}",
    "%s%n%d",
    "{{7*7}}",
    "../..",
    "..\\..",
    "/etc/passwd",
    "~",
    "C:\\",
    "CON",
    "nul.txt",
    ".",
    "..",
    "-rf",
    "--out",
    "*?[a]",
    '"',
    "'",
    '""',
    ",",
    ";",
    "|",
    "\\",
    "\\n",
    "\\u0000",
    "\\x",
)
CHARACTERS = (
    (0x01, 0x1F),  # controls
    (0x7F, 0xA0),
    (0xA1, 0x24F),
    (0x300, 0x36F),  # combining
    (0x5D0, 0x6FF),  # Hebrew, Arabic
    (0x900, 0x97F),
    (0xE00, 0xE7F),
    (0x2000, 0x206F),  # spaces, joiners, directions
    (0x266D, 0x266F),
    (0x3040, 0x30FF),
    (0x4E00, 0x4E80),
    (0xE000, 0xE010),  # private use
    (0xFB00, 0xFB4F),
    (0xFE00, 0xFE0F),
    (0xFF01, 0xFF5E),
    (0xFFF9, 0xFFFF),
    (0x1D100, 0x1D1DD),
    (0x1F300, 0x1F6FF),
    (0xE0100, 0xE01EF),
)
WORDS = ("Ada", "Zoë", "Zoe\u0308", "Straße", "ADA", "Łucja", "O'Brien", "שלום", "مريم", "ñandú")
ENCODINGS = (
    "cp1252",
    "utf-16",
    "utf-16-le",
    "utf-16-be",
    "utf-32",
    "mac-roman",
    "cp437",
    "shift-jis",
    "gb18030",
    "utf-7",
    "cp037",
)


def text(rng: Random, pieces: int = 4) -> str:
    """One to ``pieces`` pieces of hostile text, one after the other."""
    return "".join(_piece(rng) for _ in range(rng.randint(1, pieces)))


def name(rng: Random) -> str:
    """Hostile text that is seldom refused: few characters that no font has, no controls."""
    words = text(rng)
    if rng.random() < 0.1:
        return words
    kept = (c for c in words if c.isspace() or (c.isprintable() and c < "\u0700"))
    return "".join(kept) or rng.choice(WORDS)


def _piece(rng: Random) -> str:
    kind = rng.randrange(9)
    if kind < 4:
        return rng.choice(SYNTAX)
    if kind < 6:
        return "".join(_character(rng) for _ in range(rng.randint(1, 8)))
    if kind == 6:
        return rng.choice(WORDS)
    if kind == 7:
        return str(number(rng))
    return (_character(rng) or "a") * rng.choice((1, 30, 256, 3000))


def _character(rng: Random) -> str:
    return chr(rng.randint(*rng.choice(CHARACTERS)))


def number(rng: Random) -> int | float:
    """A number at or beyond an edge."""
    return rng.choice(
        (
            0,
            -1,
            rng.randint(-(10**6), 10**6),
            2**31,
            2**63,
            10 ** rng.randint(20, 400),
            -(10**30),
            0.5,
            1e308,
            float(rng.random()),
        )
    )


def value(rng: Random, depth: int = 2) -> object:
    """A value that JSON can hold."""
    kind = rng.randrange(8)
    if kind < 2:
        return text(rng)
    if kind < 4:
        return number(rng)
    if kind == 4:
        return rng.choice((True, False, None, "", [], {}, [[]], [None]))
    if kind == 5 or not depth:
        return float(rng.choice(("nan", "inf", "-inf")))
    if kind == 6:
        return [value(rng, depth - 1) for _ in range(rng.randint(1, 4))]
    return {text(rng, 1): value(rng, depth - 1) for _ in range(rng.randint(1, 3))}


def toml_value(rng: Random) -> str:
    """What may stand behind ``=`` in a TOML file, now and then not even that."""
    kind = rng.randrange(10)
    if kind < 3:
        return json.dumps(text(rng), ensure_ascii=rng.random() < 0.5).replace("\x7f", "")
    if kind < 5:
        return str(number(rng))
    if kind == 5:
        return rng.choice(("true", "false", '""', "[]", "{}", "[[]]", "nan", "-inf", "1e999"))
    if kind == 6:
        return rng.choice(("1979-05-27", "07:32:00", "1979-05-27T07:32:00Z", "0x1F", "0b11", "1_0"))
    if kind == 7:
        return "[" + ", ".join(toml_value(rng) for _ in range(rng.randint(1, 3))) + "]"
    if kind == 8:
        return "{ a = " + toml_value(rng) + " }"
    return rng.choice(("", "'", '"', '"""', "nothing", "[", "]", "= 1", "[" * 3000, "\x00"))


def encoded(rng: Random, words: str) -> bytes:
    """``words`` as bytes, not always in an encoding that was asked for."""
    if rng.random() < 0.5:
        return words.encode("utf-8-sig" if rng.random() < 0.5 else "utf-8", "surrogatepass")
    return words.encode(rng.choice(ENCODINGS), "replace")


def spoiled(rng: Random, data: bytes) -> bytes:
    """``data`` with a few bytes changed, taken out, put in, or the end cut off."""
    spoilt = bytearray(data)
    for _ in range(rng.randint(1, 6)):
        at, kind = rng.randrange(len(spoilt) + 1), rng.randrange(5)
        if kind == 0:
            spoilt[at:at] = rng.randbytes(rng.randint(1, 9))
        elif kind == 1:
            del spoilt[at : at + rng.randint(1, 40)]
        elif kind == 2 and at < len(spoilt):
            spoilt[at] ^= 1 << rng.randrange(8)
        elif kind == 3:
            spoilt[at:at] = rng.choice((b"\0", b"\r", b'"', b"\xff\xfe", b"\xc3", b"\xef\xbb\xbf"))
        elif kind == 4 and rng.random() < 0.3:
            del spoilt[at:]
    return bytes(spoilt)
