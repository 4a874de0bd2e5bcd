"""Text measured and cut: how wide it is, where it breaks, what of it fits.

In: plain strings, as the teacher typed them or as ``clean`` leaves them, and a face. Out:
widths in points, and lines.
"""

from __future__ import annotations

import bisect
import re
import unicodedata
from functools import lru_cache

from workbook.typesetting import direction
from workbook.typesetting.runs import font_runs

# Characters that steer and draw nothing; the joiners are kept, names need them.
_JOINERS = "\u200c\u200d"


def clean(text: str) -> str:
    r"""``text`` composed (NFC), each stretch of white space a single space, without
    control characters and those that override the direction of writing.

    >>> clean(" Ann\u202e\t Lee\x07 ")
    'Ann Lee'
    """
    kept = (
        " " if char.isspace() else char
        for char in unicodedata.normalize("NFC", text)
        if char.isspace() or char in _JOINERS or unicodedata.category(char) not in ("Cc", "Cf")
    )
    return " ".join("".join(kept).split())


@lru_cache(maxsize=16384)
def _unit_width(text: str, face: str) -> float:
    return sum(font.width(chars) for font, chars in font_runs(text, face))


def width(text: str, face: str = "regular", size: float = 10) -> float:
    """The width of ``text`` in points when set in ``face`` at ``size`` points.

    Raises Unprintable when no font has one of the characters, ValueError for another face.
    """
    return _unit_width(text, face) * size


def wrap(text: str, face: str, size: float, width: float) -> list[str]:
    """``text`` in lines that are at most ``width`` points wide; [] for empty text.

    Lines break at spaces; a word wider than a line breaks between characters.
    Only a single character wider than a line sticks out of it.
    """
    lines: list[str] = []
    line = ""
    for word in _visible_spaces(text).split(" "):
        if not word:
            continue
        longer = f"{line} {word}" if line else word
        if _fits(longer, face, size, width):
            line = longer
            continue
        if line:
            lines.append(line)
        line = ""
        for part in direction.clusters(word):
            if line and not _fits(line + part, face, size, width):
                lines.append(line)
                line = ""
            line += part
    return [*lines, line] if line else lines


def even(text: str, face: str, size: float, width: float, most: int) -> list[str]:
    """``text`` in lines of about the same length: at most ``width`` points wide and, where
    words allow it, ``most`` characters long; as few lines as that takes.
    """
    return list(_even(text, face, size, width, most))


@lru_cache(maxsize=4096)
def _even(text: str, face: str, size: float, width: float, most: int) -> tuple[str, ...]:
    lines = wrap(text, face, size, width)
    least = max(len(lines), -(-len(text) // most))
    for count in range(least, least + 3) if least > 1 else ():
        lines = _narrowest(text, face, size, width, count)
        if max(map(len, lines)) <= most:
            break
    return tuple(lines)


def _narrowest(text: str, face: str, size: float, width: float, count: int) -> list[str]:
    """``text`` in at most ``count`` lines, the longest as short as can be."""
    low, high = 0.0, width
    best = wrap(text, face, size, width)
    for _ in range(12):
        middle = (low + high) / 2
        lines = wrap(text, face, size, middle)
        if len(lines) <= count and all(_fits(line, face, size, middle) for line in lines):
            best, high = lines, middle
        else:
            low = middle
    return best


def shorten(text: str, face: str, size: float, width: float) -> str:
    """``text``, or as much of it as fits ``width`` points with "…" at the end.

    Empty when not even the "…" fits.
    """
    if _fits(text, face, size, width):
        return text
    parts = direction.clusters(text)

    def cut(count: int) -> str:
        return "".join(parts[:count]).rstrip() + "…"

    count = bisect.bisect_left(
        range(len(parts)), True, key=lambda n: not _fits(cut(n), face, size, width)
    )
    # Joined letters can be narrower than the same letters apart, so look back once more.
    while count > 0:
        count -= 1
        if _fits(cut(count), face, size, width):
            return cut(count)
    return ""


_MAY_BREAK = re.compile("[^\\S\u00a0\u202f]")


def _visible_spaces(text: str) -> str:
    """White space at which a line may break as " "; the no-break space stays."""
    return _MAY_BREAK.sub(" ", text)


def _fits(text: str, face: str, size: float, room: float) -> bool:
    # A hair of tolerance: a line measured to the room it then gets must fit.
    return width(text, face, size) <= room + 1e-6
