"""Measures the page's design over the ten levels: python -m tests.page_design

In: the levels in three keys each, on Letter paper, or on each paper and size that is named
(``a5``, ``letter/large``, ``letter/normal/punched``; ``--all`` for every one; ``--levels 1,4`` for
some levels, ``--keys 1`` for fewer keys). Grey print has the same elements.
Out: a table: where staves end, how even rows of boxes are, how long lines of text are, how
full pages are. All figures are read from the elements of the pages.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import chain, pairwise
from statistics import mean, median

from workbook import design
from workbook.engraving.cache import Cache, folder
from workbook.engraving.engrave import engrave
from workbook.exercises.model import Exercise
from workbook.music.keys import parse_keys
from workbook.pages.arranging import arranged
from workbook.pages.columns import frames
from workbook.pages.elements import Box, Page, Panel, Picture, Rule, Text
from workbook.pages.examples import with_short_examples
from workbook.pages.flow import Block, fill
from workbook.pages.layout import SPARE, blocks, lay_out
from workbook.pages.paper import Paper
from workbook.planning.dealing import plan
from workbook.planning.plan import Plan
from workbook.studio.roster import Row
from workbook.studio.template_model import overridden
from workbook.studio.templates import available, read_template

EVERY = (
    "letter",
    "letter/normal/punched",
    "a4",
    "half-letter",
    "a5",
    "letter/large",
    "letter/extra-large",
)
KEYS = ("C major; A minor", "F major; D minor", "Eb major; C minor")
EVEN, CLEF_CHANGE = 1.02, 1.15
"""The largest pitch ratios of a row: without and with a change of clef."""


@dataclass
class Measured:
    """What was measured of some books. Lengths are in points."""

    ends: list[int] = field(default_factory=list)
    """How many different right ends the staves of a page have."""
    in_column: list[int] = field(default_factory=list)
    """How many of them the staves of one column have."""
    counts: list[int] = field(default_factory=list)
    """Into how many different numbers of columns the lines of a page are divided."""
    astray: int = 0
    """Staves that do not end where their column or the measure does."""
    used: list[float] = field(default_factory=list)
    """The share of its measure or column that a staff fills."""
    ratios: list[float] = field(default_factory=list)
    """The widest pitch of a row of boxes by its narrowest."""
    uneven: int = 0
    """Rows with a pitch ratio above ``EVEN``, though no clef changes in them."""
    boxes: list[float] = field(default_factory=list)
    """The heights of boxes to be filled in."""
    sizes: list[int] = field(default_factory=list)
    """How many sizes of type a page of the workbook has, given answers included."""
    widows: int = 0
    """Paragraphs whose last line is one word."""
    longest: int = 0
    """Characters of the longest line of text."""
    filled: list[float] = field(default_factory=list)
    """The share of a page's height down to its lowest element, spare staves included."""
    spare: int = 0
    """Pages with spare staves."""
    torn: int = 0
    """Exercises that go on overleaf."""
    high: int = 0
    """Those of them that are higher than a page."""


def books(
    paper: Paper, levels: Iterable[str], keys: Iterable[str], letters: str | None = None
) -> Iterator[tuple[Plan, list[Page]]]:
    """The pages of each level in each set of keys, with note names of the language ``letters``."""
    for level in levels:
        template = overridden(read_template(available()[level]), letters, None)
        for some in keys:
            row = Row("Wren", template, parse_keys(some), template.title, None, 2)
            made = arranged(with_short_examples(plan(row, "design"), paper), paper)
            snippets = engrave([i.exercise for i in made.drawn], frames=frames(made, paper))
            drawn = {item.number: one for item, one in zip(made.drawn, snippets)}
            yield made, lay_out(made, drawn, paper)


def paginated(made: Plan, paper: Paper) -> list[Sequence[Block]]:
    """The blocks of each page of a plan."""
    snippets = engrave(
        [item.exercise for item in made.drawn], frames=frames(made, paper), cache=Cache(folder())
    )
    drawn = {item.number: one for item, one in zip(made.drawn, snippets)}
    return fill(list(chain.from_iterable(blocks(made, drawn, paper))), paper.top - paper.bottom)


def filled(page: Sequence[Block], paper: Paper) -> float:
    """How much of a page its blocks take, from 0 to 1."""
    high = sum(block.height for block in page)
    high += sum(one.below + after.above for one, after in pairwise(page))
    return high / (paper.top - paper.bottom)


def measured(paper: Paper, levels: Iterable[str], keys: Iterable[str] = KEYS) -> Measured:
    """The measures of all these books."""
    found = Measured()
    for made, pages in books(paper, levels, keys):
        clefs = {item.number for item in made.drawn if _changes_clef(item.exercise)}
        on: dict[int, set[int]] = defaultdict(set)
        for number, page in enumerate(pages):
            staves = list(_staves(page, paper))
            found.ends.append(_different(right for _, right in staves))
            found.counts.append(len({_count(left, right, paper) for left, right in staves}))
            found.astray += sum(_is_astray(left, right, paper) for left, right in staves)
            found.in_column += _ends_in_columns(staves, paper)
            found.spare += any(isinstance(e, Text) and e.text == SPARE for e in page.elements)
            found.used += [_share(left, right, paper) for left, right in staves]
            ratios = list(_ratios(page))
            found.ratios += [ratio for _, ratio in ratios]
            found.uneven += sum(one not in clefs and ratio > EVEN for one, ratio in ratios)
            found.boxes += [box.rect[3] - box.rect[1] for box in page.boxes if not box.blank.given]
            found.filled.append(_filled(page, paper))
            for picture in _pictures(page):
                on[picture.number].add(number)
            _text(page, found)
            found.sizes.append(_sizes(page))
        torn = [number for number, where in on.items() if len(where) > 1]
        found.torn += len(torn)
        found.high += sum(_is_high(number, pages, paper) for number in torn)
    return found


def _pictures(page: Page) -> list[Picture]:
    return [one for one in page.elements if isinstance(one, Picture)]


def _staves(page: Page, paper: Paper) -> Iterator[tuple[float, float]]:
    """The left and the right end of the staves of each picture."""
    for one in _pictures(page):
        if one.snippet.glyphs:
            left = one.x + one.scale * one.snippet.staff[0]
            # the picture ends with its staff, and one point of white
            yield left / paper.scale, (one.x + one.scale * (one.snippet.width - 1)) / paper.scale


def _count(left: float, right: float, paper: Paper) -> int:
    """Into how many columns the line is divided of which a staff fills one."""
    counts = (1,) if paper.narrow else (3, 2, 1)
    return next((n for n in counts if right - left <= paper.column_of(n) + 2), 1)


def _width(left: float, right: float, paper: Paper) -> float:
    """The width of the column that a staff fills."""
    return paper.column_of(_count(left, right, paper))


def _is_astray(left: float, right: float, paper: Paper) -> bool:
    """Whether a staff does not end with a column of the page, the last of which ends at the right
    margin, as a line that fills the measure does.
    """
    step = _width(left, right, paper) + design.COLUMN_GAP
    after = (paper.right - right) / step
    return abs(after - round(after)) * step > 1.0


def _share(left: float, right: float, paper: Paper) -> float:
    return (right - left) / _width(left, right, paper)


def _ends_in_columns(staves: Iterable[tuple[float, float]], paper: Paper) -> list[int]:
    """How many right ends the staves of each column have."""
    ends: dict[tuple[int, int], list[float]] = defaultdict(list)
    for left, right in staves:
        ends[round(left), round(_width(left, right, paper))].append(right)
    return [_different(each) for each in ends.values()]


def _different(places: Iterable[float]) -> int:
    """How many places there are, those within half a point of the first of them taken as one."""
    starts: list[float] = []
    for place in sorted(places):
        if not starts or place - starts[-1] > 0.5:
            starts.append(place)
    return len(starts)


def _is_high(number: int, pages: Iterable[Page], paper: Paper) -> bool:
    """Whether the parts of an exercise are higher together than a page."""
    parts = [
        one.scale * (one.band[1] - one.band[0]) / paper.scale
        for page in pages
        for one in _pictures(page)
        if one.number == number and one.band
    ]
    return sum(parts) + paper.closest * (len(parts) - 1) > paper.top - paper.bottom - 40


def _changes_clef(exercise: Exercise) -> bool:
    return any(len({event.clef for event in staff.events}) > 1 for staff in exercise.staves)


def _ratios(page: Page) -> Iterator[tuple[int, float]]:
    """The ratios of rows beside staves, with the number of their exercise: boxes under a keyboard
    follow its keys.
    """
    staves = {one.number for one in _pictures(page) if one.snippet.glyphs}
    rows: dict[tuple[int, str, str, int], list[tuple[int, float]]] = defaultdict(list)
    for box in page.boxes:
        if box.number in staves and not box.blank.note:
            middle = (box.rect[0] + box.rect[2]) / 2
            place = box.number, box.blank.asks, box.blank.hand, round(box.rect[1])
            rows[place].append((box.blank.column, middle))
    for (number, *_), row in rows.items():
        pitches = [(x1 - x0) / (c1 - c0) for (c0, x0), (c1, x1) in pairwise(sorted(row)) if c1 > c0]
        if len(pitches) > 1:
            yield number, max(pitches) / min(pitches)


def _filled(page: Page, paper: Paper) -> float:
    foot = (paper.foot + 16) * paper.scale
    lows = []
    for one in page.elements:
        if isinstance(one, Picture):
            lows.append(one.y + one.scale * (one.band or (0.0, 0.0))[0])
        elif isinstance(one, (Box, Panel)):
            lows.append(one.rect[1])
        elif isinstance(one, Rule):
            lows.append(one.y0)
        elif isinstance(one, Text):
            lows.append(one.y)
    low = min(y for y in lows if y > foot) / paper.scale
    return (paper.top - low) / (paper.top - paper.bottom)


def _sizes(page: Page) -> int:
    texts = [one.size for one in page.elements if isinstance(one, Text) and not one.only]
    given = [box.size for box in page.boxes if box.blank.given]
    return len({round(size, 2) for size in (*texts, *given)})


def _text(page: Page, found: Measured) -> None:
    texts = [one for one in page.elements if isinstance(one, Text) and one.text != SPARE]
    for line, after in pairwise([*texts, None]):
        if line is None or line.only or line.face != "regular" or len(line.text) < 12:
            continue
        found.longest = max(found.longest, len(line.text))
        follows = after and after.x == line.x and 0 < line.y - after.y < 2 * line.size
        if follows and after.face == "regular" and len(after.text.split()) == 1:
            found.widows += after.text.endswith(".")


def table(found: Measured) -> str:
    """The measures in lines of words."""
    uneven = [sum(ratio > bound for ratio in found.ratios) for bound in (EVEN, CLEF_CHANGE)]
    return "\n".join(
        f"{what:58} {value:>10}"
        for what, value in (
            ("pages", f"{len(found.filled)}"),
            ("right ends of staves on one page, most", f"{max(found.ends)}"),
            ("numbers of columns on one page, most", f"{max(found.counts)}"),
            ("staves that end elsewhere than their column", f"{found.astray}"),
            ("right ends in one column of a page, most", f"{max(found.in_column)}"),
            ("share of its measure or column that a staff fills, least", f"{min(found.used):.3f}"),
            ("the same, median", f"{median(found.used):.3f}"),
            ("rows of boxes", f"{len(found.ratios)}"),
            (f"rows with a pitch ratio above {EVEN}", f"{uneven[0]}"),
            ("of these, without a change of clef", f"{found.uneven}"),
            (f"rows with a pitch ratio above {CLEF_CHANGE}", f"{uneven[1]}"),
            ("pitch ratio, worst", f"{max(found.ratios):.4f}"),
            ("height of a box, least, mm", f"{min(found.boxes) / design.MM:.2f}"),
            ("sizes of type on one page, most", f"{max(found.sizes)}"),
            ("last lines of one word", f"{found.widows}"),
            ("characters of the longest line of text", f"{found.longest}"),
            ("pages filled, mean", f"{mean(found.filled):.3f}"),
            ("pages filled, least", f"{min(found.filled):.3f}"),
            ("pages with spare staves", f"{found.spare}"),
            ("exercises that go on overleaf", f"{found.torn}"),
            ("of these, higher than a page", f"{found.high}"),
        )
    )


def main() -> None:
    """Print the table for each paper and size named on the command line, "letter" if none."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("papers", nargs="*", help="such as a4 or letter/large")
    parser.add_argument("--all", action="store_true", help="every paper and size")
    parser.add_argument("--levels", default="1,2,3,4,5,6,7,8,9,10")
    parser.add_argument("--keys", type=int, default=len(KEYS), help="how many keys of each level")
    asked = parser.parse_args()
    levels = [f"level-{int(level):02}" for level in asked.levels.split(",")]
    for name in EVERY if asked.all else asked.papers or ["letter"]:
        paper, size, punched, *_ = [*name.split("/"), "", ""]
        found = measured(Paper(paper, size or "normal", bool(punched)), levels, KEYS[: asked.keys])
        print(f"{name}\n{table(found)}\n", flush=True)


if __name__ == "__main__":
    main()
