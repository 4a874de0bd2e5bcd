"""Two faces of one engraving: what is printed, and what the student is to write.

In: the drawing operators of a snippet in which what the student writes has the
colour PEN. Out: the operators without it, and those of it alone. Both keep every
operator that sets a state, so that either draws in its right place. See ISO
32000-1, 8.2 (path and text objects) and 8.6.8 (colour operators).
"""

from __future__ import annotations

import re

PEN = (0.52, 0.0, 0.08)
"""Red, green, blue: a dark red, on a grey printer darker than the greyed rest."""

_WORDS = re.compile(rb"BT\b.*?\bET\b|\S+", re.DOTALL)
_PAINTS = {b"f": "fill", b"f*": "fill", b"S": "stroke"}
_PATH = re.compile(rb"-?[\d.]+\Z|[mlcvyh]\Z|re\Z")


def split(content: bytes) -> tuple[bytes, bytes]:
    """The operators of what is printed, and of what is written (b"" if nothing is)."""
    if _pen() not in content:
        return content, b""
    printed: list[bytes] = []
    written: list[bytes] = []
    colour = {"fill": b"", "stroke": b""}
    operands: list[bytes] = []
    for match in _WORDS.finditer(content):
        word = match[0]
        if word.startswith(b"BT"):
            (written if colour["fill"] == _pen() else printed).append(word)
            continue
        operands.append(word)
        if _PATH.match(word):
            continue
        if word in _PAINTS:
            target = written if colour[_PAINTS[word]] == _pen() else printed
            target.append(b" ".join(operands))
        elif word.isalpha() or word.endswith(b"*"):
            if word in (b"rg", b"RG"):
                colour["fill" if word == b"rg" else "stroke"] = b" ".join(operands[:3])
            for face in (printed, written):
                face.append(b" ".join(operands))
        else:
            continue  # a name, an array: the operand of what follows
        operands = []
    return b"\n".join(printed), b"\n".join(written)


def _pen() -> bytes:
    return " ".join(f"{value:g}" for value in PEN).encode()
