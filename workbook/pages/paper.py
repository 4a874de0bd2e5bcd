"""Paper: its sizes, the margins, and the room on a page at each size of print."""

from __future__ import annotations

from dataclasses import dataclass

from workbook.engraving.shares import LINE_WIDTH
from workbook.pages.elements import Page, scaled

PAPERS = {"letter": (612.0, 792.0), "a4": (595.276, 841.89)}
"""Width and height in points."""
SIZES = {"normal": 1.0, "large": 1.46, "extra-large": 1.8}
"""How much larger everything is drawn: large has 16-point labels and a staff 1.46 times."""
_MARGIN, _TOP, _FOOT = 52.0, 42.0, 30.0
GUTTER = 30.0
"""Points for the item number, left of the label and the music."""
PUNCH = 18.0
"""Points by which pages that are to be punched move away from the binding."""


@dataclass(frozen=True)
class Paper:
    """Paper by ``name``, print ``size`` and whether it is punched: the room on a page.

    All measures are in points before the page is drawn ``scale`` times as large.
    What stands between ``left`` and ``right``, ``top`` and ``bottom`` is clear of the
    margins; ``foot`` is the baseline of the last line.
    """

    name: str
    size: str = "normal"
    punched: bool = False

    @property
    def scale(self) -> float:
        return SIZES[self.size]

    @property
    def whole(self) -> tuple[float, float]:
        """Width and height of the paper."""
        return PAPERS[self.name]

    @property
    def narrow(self) -> bool:
        """Whether little stands side by side: in large print."""
        return self.right - self.left < 400

    @property
    def left(self) -> float:
        return _MARGIN / self.scale

    @property
    def right(self) -> float:
        return (self.whole[0] - _MARGIN) / self.scale

    @property
    def top(self) -> float:
        return (self.whole[1] - _TOP) / self.scale

    @property
    def bottom(self) -> float:
        return self.foot + 24

    @property
    def foot(self) -> float:
        return _FOOT / self.scale

    @property
    def line_width(self) -> int:
        """Millimetres that a line of music may be long: the same on all papers."""
        narrow = min(width for width, _ in PAPERS.values()) - 2 * _MARGIN
        return min(LINE_WIDTH, int((narrow / self.scale - GUTTER) / 72 * 25.4))

    def finished(self, page: Page, index: int) -> Page:
        """The sheet in points of the paper; odd pages (``index`` 0) are bound at the left."""
        shift = (PUNCH if index % 2 == 0 else -PUNCH) if self.punched else 0.0
        return Page([scaled(element, self.scale, shift) for element in page.elements])
