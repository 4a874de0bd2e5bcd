"""Numerals, chord symbols and figured bass, set as musicians write them.

In: a plain spelling (``V6/5/V``, ``B♭ø7``) and the grammar by which it is read. Out: glyphs and
circles with their places, in ems of the letters. Two figures stand one over the other, a
single one is raised, and ° and ø are drawn. A slash is drawn only before an applied chord's
target and before a bass. What a grammar does not know stays as it is spelled.

How the parts are written is that of Open Music Theory, "Inversion and figured bass" and
"Chord symbols"; the proportions are our own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Literal, NamedTuple

from workbook.typesetting import text as plain_text

Grammar = Literal["", "numeral", "chord", "figures", "words"]
"""How a text is read: as a Roman numeral, as a chord symbol or a quality, as figures alone, or
as running text in which such symbols stand. "" is text without any."""
PartKind = Literal["text", "raised", "stack", "sign"]

_STACKED = "5/3|6/3|6/4|6/5|4/3|4/2"
_NUMERAL = re.compile(
    rf"(?P<letters>[IV]+|[iv]+|N|It|Fr|Ger)(?P<sign>[°ø+]?)(?:(?P<stack>{_STACKED})|(?P<raised>[2-79]?))"
    r"(?P<rest>/(?:[IV]+|[iv]+)[°ø+]?)?"
)
_CHORD = re.compile(
    r"(?P<letters>[^\d/°ø+]*)(?P<sign>[°ø+]?)(?P<stack>(?!))?(?P<raised>(?:\d+(?:[♯♭]\d+)?)?)"
    r"(?P<rest>/[^\d/]+)?"
)
_FIGURES = re.compile(rf"(?P<stack>{_STACKED})|(?P<one>\d)")
_CLOSED = re.compile(r"(\(?)(.*?)([)\],.;:]*)")
_TARGET = r"(?:/(?:[IV]+|[iv]+)[°ø]?)?"
_NOTE = "(?:(?:[A-H]|Do|R[eé]|Mi|Fa|Sol|La|Si)[♯♭𝄪𝄫]?|[A-H](?:is|e?s){1,2})"
"""The name of a note in any language of ``music.naming``."""
_IN_WORDS = re.compile(
    rf"(?<![\w♯♭/])(?:"
    rf"(?P<numeral>(?:[IV]+|[iv]+)(?:[°ø+]?(?:{_STACKED}|[67])|[°ø]){_TARGET}"
    r"|(?:N|It|Fr|Ger)\+?6)"
    rf"|(?P<chord>{_NOTE}m?(?:maj|dom)?(?:[°ø]7?|7)(?:/{_NOTE})?"
    r"|(?:maj|dom|min|°|ø)7)"
    rf"|(?P<figures>{_STACKED}))(?![\w/♯♭°ø(])[)\],.;:]*"
)

# Ems of the letters, as drawn and judged by eye.
_FIGURE, _SMALL_FIGURE, _BARE = 0.62, 0.70, 0.75
"""Size of figures: beside letters, beside small letters, and without letters."""
_SMALL = 11.5
"""Points: the largest letters beside which figures are set a little larger."""
_STACK, _SMALL_STACK, _RAISED = (0.375, -0.115), (0.40, -0.16), 0.36
"""Baselines of the figures of a stack, beside small letters, and of one that is raised."""
_BARE_STACK, _BARE_ONE = (0.375, -0.185), 0.095
"""Those of figures without letters: their middle is that of a capital letter."""
_AFTER_V, _AFTER_LETTER, _AFTER_SIGN, _BEFORE = 0.05, 0.035, 0.06, 0.05
"""Space before figures after a V, another letter, a sharp or flat; and after figures."""
_RADIUS, _HEIGHT, _AROUND, _REACH = 0.155, 0.585, 0.05, 1.35
"""Of the circle of ° and ø: its radius and height, the space at its sides, and how far the
stroke of ø reaches on the diagonal, in radii."""
_LINE = {"regular": 0.062, "italic": 0.062, "bold": 0.078}


class Part(NamedTuple):
    """A part of a symbol: ``text`` is its plain spelling."""

    kind: PartKind
    text: str


class Glyphs(NamedTuple):
    """Characters on one baseline; ``hidden`` ones take no ink, for whoever copies the text."""

    text: str
    x: float
    rise: float
    size: float
    hidden: bool = False


class Circle(NamedTuple):
    """The circle of ° or, with a stroke through it, of ø; ``x`` and ``y`` are its middle."""

    x: float
    y: float
    radius: float
    line: float
    struck: bool


class Symbol(NamedTuple):
    """A symbol that is set; all measures are in ems of its letters. ``text`` is its spelling."""

    text: str
    glyphs: tuple[Glyphs, ...]
    circles: tuple[Circle, ...]
    width: float


@lru_cache(maxsize=4096)
def parts(text: str, grammar: Grammar) -> tuple[Part, ...]:
    """The parts of one symbol; a text that the grammar does not know is one part.

    A parenthesis and signs of punctuation round the symbol are parts of it.

    >>> parts("V6/5/V", "numeral")
    (Part(kind='text', text='V'), Part(kind='stack', text='6/5'), Part(kind='text', text='/V'))
    """
    before, inner, after = _CLOSED.fullmatch(text).groups()  # type: ignore[union-attr]  # any text
    if before or after:
        around = [(Part("text", one),) if one else () for one in (before, after)]
        return (*around[0], *parts(inner, grammar), *around[1])
    if grammar == "figures":
        return (Part("stack", text),) if _FIGURES.fullmatch(text) else (Part("text", text),)
    found = {"numeral": _NUMERAL, "chord": _CHORD}[grammar].fullmatch(text)
    if not found or not (found["letters"] or found["sign"]):
        return (Part("text", text),)
    kinds: list[tuple[PartKind, str | None]] = [
        ("text", found["letters"]),
        ("raised" if found["sign"] == "+" else "sign", found["sign"]),
        ("stack", found["stack"]),
        ("raised", found["raised"]),
    ]
    rest = _rest(found["rest"] or "")
    return (*(Part(kind, said) for kind, said in kinds if said), *rest)


def _rest(text: str) -> Iterator[Part]:
    """The slash with an applied chord's target or a bass."""
    if text:
        letters = text.rstrip("°ø")
        yield Part("text", letters)
        if letters != text:
            yield Part("sign", text[len(letters) :])


@lru_cache(maxsize=4096)
def pieces(text: str, grammar: Grammar) -> tuple[tuple[str, Grammar], ...]:
    """``text`` cut into symbols and what stands between them, each with its grammar.

    >>> pieces("such as ii6", "words")
    (('such as ', ''), ('ii6', 'numeral'))
    """
    if grammar != "words":
        known = grammar and any(part.kind != "text" for part in parts(text, grammar))
        return ((text, grammar if known else ""),)
    found: list[tuple[str, Grammar]] = []
    end = 0
    for symbol in _IN_WORDS.finditer(text):
        if symbol.start() > end:
            found.append((text[end : symbol.start()], ""))
        read: Grammar = (
            "numeral" if symbol["numeral"] else "chord" if symbol["chord"] else "figures"
        )
        found.append((symbol[0], read))
        end = symbol.end()
    if end < len(text) or not text:
        found.append((text[end:], ""))
    return tuple(found)


def width(text: str, grammar: Grammar, face: str = "regular", size: float = 10) -> float:
    """The width of ``text`` in points when it is set by ``grammar``.

    Raises Unprintable and ValueError as ``text.width`` does.
    """
    return size * _ems(text, grammar, face, size <= _SMALL)


@lru_cache(maxsize=4096)
def _ems(text: str, grammar: Grammar, face: str, small: bool) -> float:
    return sum(
        symbol(piece, read, face, small).width if read else plain_text.width(piece, face, 1.0)
        for piece, read in pieces(text, grammar)
    )


def is_small(size: float) -> bool:
    """Whether letters of this size, in points, are small beside a figure."""
    return size <= _SMALL


@lru_cache(maxsize=4096)
def symbol(text: str, grammar: Grammar, face: str = "regular", small: bool = False) -> Symbol:
    """One symbol, set. ``small`` letters have larger figures beside them."""
    setting = _Setting(face, small)
    found = parts(text, grammar)
    for part in found:
        setting.add(part, bare=grammar == "figures")
    return Symbol(text, tuple(setting.glyphs), tuple(setting.circles), setting.x)


class _Setting:
    """Sets the parts of a symbol from left to right; ``x`` is where the next one begins."""

    def __init__(self, face: str, small: bool):
        self._face = face
        self._size, self._rises = (_SMALL_FIGURE, _SMALL_STACK) if small else (_FIGURE, _STACK)
        self.x = 0.0
        self.glyphs: list[Glyphs] = []
        self.circles: list[Circle] = []
        self._before = ""

    def add(self, part: Part, bare: bool) -> None:
        if part.kind == "text":
            self._space(_BEFORE if self._before[-1:].isdigit() else 0.0)
            self._show(part.text, 0.0, 1.0)
        elif part.kind == "sign":
            self._circle(part.text)
        elif bare:
            self._stack(part.text.split("/"), _BARE, _BARE_STACK, _BARE_ONE)
        else:
            self._space(self._apart())
            self._stack(part.text.split("/"), self._size, self._rises, _RAISED)
        self._before = part.text

    def _apart(self) -> float:
        """The space before figures, by what they stand beside."""
        last = self._before[-1:]
        if not last or last in "°ø+":
            return 0.0
        return _AFTER_V if last in "Vv" else _AFTER_SIGN if last in "♯♭𝄪𝄫" else _AFTER_LETTER

    def _space(self, width: float) -> None:
        self.x += width

    def _show(self, text: str, rise: float, size: float, hidden: bool = False) -> None:
        self.glyphs.append(Glyphs(text, self.x, rise, size, hidden))
        if not hidden:
            self.x += plain_text.width(text, self._face, size)

    def _stack(
        self, figures: list[str], size: float, rises: tuple[float, float], rise: float
    ) -> None:
        """One figure, or two one over the other."""
        if len(figures) == 1:
            self._show(figures[0], rise, size)
            return
        start = self.x
        self._show(figures[0], rises[0], size)
        end, self.x = self.x, start
        self._show("/", rises[1], size, hidden=True)
        self._show(figures[1], rises[1], size)
        self.x = max(self.x, end)

    def _circle(self, sign: str) -> None:
        line = _LINE[self._face]
        half = _RADIUS + line / 2 + _AROUND
        # as wide as the circle, so that no reader sees a gap after it
        self._show(sign, 0.0, 2 * half / plain_text.width(sign, self._face, 1.0), hidden=True)
        self.circles.append(Circle(self.x + half, _HEIGHT, _RADIUS, line, sign == "ø"))
        self.x += 2 * half


def outline(circle: Circle, x: float, y: float, size: float) -> tuple[tuple[float, ...], ...]:
    """A circle for letters of ``size`` points that begin at (``x``, ``y``), in points.

    In order: the stroke as (x0, y0, x1, y1), if there is one, then where the circle begins and
    its four Bézier curves, with handles 0.5523 times the radius as usual.
    """
    middle_x, middle_y = x + size * circle.x, y + size * circle.y
    r = size * circle.radius
    k = 0.5523 * r
    found: list[tuple[float, ...]] = []
    if circle.struck:
        reach = r * _REACH * 0.5**0.5
        found.append((middle_x - reach, middle_y - reach, middle_x + reach, middle_y + reach))
    found.append((middle_x + r, middle_y))
    for (ax, ay), (bx, by) in (
        ((1, 0), (0, 1)),
        ((0, 1), (-1, 0)),
        ((-1, 0), (0, -1)),
        ((0, -1), (1, 0)),
    ):
        found.append(
            (
                middle_x + r * ax + k * bx,
                middle_y + r * ay + k * by,
                middle_x + r * bx + k * ax,
                middle_y + r * by + k * ay,
                middle_x + r * bx,
                middle_y + r * by,
            )
        )
    return tuple(found)
