"""Notes read back from a finished PDF: from staff lines, clefs, note heads and accidentals.

In: a PDF of a workbook or an answer key. Out: for every engraved picture in it the notes of
each staff, those in print and those that are drawn as written by the student. The signs are
told by their outlines in Emmentaler, LilyPond's own font (fontTools); how a PDF draws a form
is in ISO 32000-1, 8.10; clefs, signatures and how long an accidental lasts: common practice,
no source. Octave lines are not read.
"""

import re
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from fontTools.pens.recordingPen import RecordingPen
from fontTools.ttLib import TTFont
from pypdf import PdfReader
from pypdf.generic import ContentStream

from workbook.engraving import lilypond

CLEFS = {"clefs.G": 32, "clefs.F": 24}  # G4 and F3 in steps above C0
SIGNS = {
    "accidentals.sharp": "#",
    "accidentals.flat": "b",
    "accidentals.natural": "",
    "accidentals.doublesharp": "##",
    "accidentals.flatflat": "bb",
}
ORDERS = {"#": "FCGDAEB", "b": "BEADGCF"}
LETTERS = "CDEFGAB"
LETTERS_OF_DYNAMICS = ("p", "m", "f", "s", "z", "r")
_READ = ("clefs.", "accidentals.", "noteheads.", "scripts.", "pedal.")
LONG = 50  # points; no ledger line is as long


@dataclass
class Drawn:
    """What a form draws: staff lines (height), ledger lines (left, right, height), bar
    lines (x, foot, top) and signs (x, y, name)."""

    lines: set[float] = field(default_factory=set)
    ledgers: list[tuple[float, float, float]] = field(default_factory=list)
    bars: list[tuple[float, float, float]] = field(default_factory=list)
    signs: list[tuple[float, float, str]] = field(default_factory=list)


def pictures(path: Path) -> list[tuple[str, Drawn, Drawn]]:
    """The name of each picture in the order of drawing, its print, what is written."""
    found = []
    for page in PdfReader(path).pages:
        here, forms = {}, page["/Resources"].get("/XObject", {})
        for operands, operator in ContentStream(page["/Contents"], page.pdf).operations:
            if operator == b"Do" and "/Resources" in forms[operands[0]]:  # a box has none
                name, _, written = str(operands[0]).partition("-")
                here.setdefault(name, [Drawn(), Drawn()])[bool(written)] = draw(forms[operands[0]])
        for name, (printed, written) in here.items():
            if not found or found[-1][0] != name:  # an item on two pages is drawn on both
                found.append((name, printed, written))
    return found


def draw(form) -> Drawn:
    found, states, path, matrix = Drawn(), [], [], (1, 0, 0, 1, 0, 0)
    glyphs = form["/Resources"]["/XObject"]

    def place(x, y):
        a, b, c, d, e, f = matrix
        return round(a * x + c * y + e, 2), round(b * x + d * y + f, 2)

    for operands, operator in ContentStream(
        form, form.pdf if hasattr(form, "pdf") else None
    ).operations:
        if operator == b"q":
            states.append(matrix)
        elif operator == b"Q":
            matrix = states.pop()
        elif operator == b"cm":
            a, b, c, d, e, f = map(float, operands)
            (x0, y0), (x1, y1), (x, y) = place(a, b), place(c, d), place(e, f)
            ox, oy = matrix[4:]
            matrix = (x0 - ox, y0 - oy, x1 - ox, y1 - oy, x, y)
        elif operator in (b"m", b"l", b"c"):
            path.append(place(*map(float, operands[-2:])))
        elif operator == b"re":
            x, y, width, height = map(float, operands)
            path += [place(x, y), place(x + width, y + height)]
        if operator in (b"f", b"S", b"re"):
            rule(found, path)
            path = []
        if operator == b"Do":
            found.signs.append((*place(0, 0), sign(glyphs[operands[0]].get_data())))
    return found


def rule(found: Drawn, path: list[tuple[float, float]]) -> None:
    """Take what a path draws for a staff line, a ledger line, a bar line or nothing."""
    if not path:
        return
    (x0, x1), (y0, y1) = ((min(axis), max(axis)) for axis in zip(*path))
    if y1 - y0 < 1.5 and x1 - x0 > LONG:
        found.lines.add((y0 + y1) / 2)
    elif y1 - y0 < 1.5 and x1 - x0 > 6:
        found.ledgers.append((x0, x1, (y0 + y1) / 2))
    elif x1 - x0 < 4 and y1 - y0 > 12:
        found.bars.append((x0, y0, y1))


@cache
def sign(outline: bytes) -> str:
    """The name that Emmentaler has for an outline, "" for none."""
    numbers = tuple(float(n) for n in re.findall(rb"-?\d+\.?\d*(?:e-?\d+)?", outline))
    return _font().get(numbers, "")


@cache
def _font() -> dict[tuple[float, ...], str]:
    program = lilypond.find().resolve()
    (path,) = program.parent.parent.glob("share/lilypond/*/fonts/otf/emmentaler-20.otf")
    glyphs = TTFont(path).getGlyphSet()
    found = {}
    for name in glyphs:
        if name.startswith(_READ) or name in LETTERS_OF_DYNAMICS:
            pen = RecordingPen()
            glyphs[name].draw(pen)
            found[tuple(float(v) for _, points in pen.value for p in points for v in p)] = name
    return found


def notes(printed: Drawn, written: Drawn, hands: int) -> list[list[list[tuple[str, bool]]]]:
    """For each staff its columns: pitch names low to high, and whether each is written."""
    heights = sorted(printed.lines, reverse=True)
    assert heights and len(heights) % (5 * hands) == 0, heights
    staves = [heights[n : n + 5] for n in range(0, len(heights), 5)]
    ledgers = printed.ledgers + written.ledgers
    signs = [(*one, False) for one in printed.signs] + [(*one, True) for one in written.signs]
    heads = {
        (x, y): _staff(staves, ledgers, x, y)
        for x, y, name, _ in signs
        if name.startswith("noteheads")
    }
    own = [[] for _ in staves]
    for one in signs:
        x, y, name, _ = one
        at = heads.get((x, y)) if name.startswith("noteheads") else None
        if at is None and name in SIGNS:  # it belongs to the note at its right
            at = next(
                (
                    staff
                    for (hx, hy), staff in sorted(heads.items())
                    if 0 < hx - x < 45 and abs(hy - y) < 0.5
                ),
                None,
            )
        if at is None:
            at = min(range(len(staves)), key=lambda n: abs(staves[n][2] - y))
        own[at].append(one)
    found = [[] for _ in range(hands)]
    for number, lines in enumerate(staves):
        bars = [
            x
            for x, foot, top in printed.bars  # as high as the staff, which no stem is
            if abs(foot - lines[4]) < 0.5 and abs(top - lines[0]) < 0.5
        ]
        found[number % hands] += _columns(lines, own[number], bars)
    return found


def _staff(staves, ledgers, x, y) -> int:
    """The nearest staff to which the ledger lines of a note head lead, if it needs any."""

    def leads(lines) -> bool:
        space = (lines[0] - lines[4]) / 4
        away = abs(y - lines[2]) / space * 2
        side = 1 if y > lines[2] else -1
        return abs(away - round(away)) < 0.2 and all(
            any(
                x0 < x + space / 2 < x1 and abs(lines[2] + side * space * at / 2 - height) < 0.6
                for x0, x1, height in ledgers
            )
            for at in range(6, round(away) + 1, 2)
        )

    return min(
        (n for n, lines in enumerate(staves) if leads(lines)), key=lambda n: abs(staves[n][2] - y)
    )


def _columns(lines, signs, bars):
    """The columns of one staff on one line of music."""
    half = (lines[0] - lines[4]) / 8

    def step(y):
        exact = (y - lines[4]) / half
        assert abs(exact - round(exact)) < 0.2, exact
        return round(exact)

    clefs = sorted(
        (x, CLEFS[name.removesuffix("_change")] - step(y))
        for x, y, name, _ in signs
        if name.removesuffix("_change") in CLEFS
    )
    heads = sorted((x, step(y), pen) for x, y, name, pen in signs if name.startswith("noteheads"))
    marks = sorted((x, step(y), SIGNS[name]) for x, y, name, _ in signs if name in SIGNS)
    if not heads:
        return []

    def degree(x, at):
        return at + [base for here, base in clefs if here < x + half][-1]

    early = [mark for mark in marks if mark[0] < heads[0][0]]
    edge, reach = heads[0][0], 5 * half  # the first note's accidentals stand close to it
    while early and edge - early[-1][0] < reach:
        edge, reach = early.pop()[0], 2.8 * half
    marks = marks[len(early) :]
    signature = {LETTERS[degree(x, at) % 7]: kind for x, at, kind in early}
    for kind in set(signature.values()):
        assert "".join(signature) == ORDERS[kind][: len(early)], signature
    columns, lasting, left = [], {}, clefs[0][0]
    while heads:
        x = heads[0][0]
        column = [head for head in heads if head[0] - x < 5.5 * half]
        heads = heads[len(column) :]
        if any(left < here < x for here in bars):
            lasting = {}
        mine = [mark for mark in marks if mark[0] < x + 5 * half]
        marks = marks[len(mine) :]
        for _, at, kind in mine:
            assert at in {head[1] for head in column}, "an accidental without a note"
            lasting[degree(x, at)] = kind
        columns.append([])
        for _, at, pen in sorted(column, key=lambda head: head[1]):
            octave, letter = divmod(degree(x, at), 7)
            name = LETTERS[letter]
            kind = lasting.get(degree(x, at), signature.get(name, ""))
            columns[-1].append((f"{name}{kind}{octave}", pen))
        left = x
    assert not marks
    return columns
