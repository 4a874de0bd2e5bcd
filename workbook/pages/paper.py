"""Paper sizes, margins, and the usable area of a page at each print size."""

from __future__ import annotations

from dataclasses import dataclass

from workbook.engraving.shares import LINE_WIDTH
from workbook.pages.elements import Page, scaled

PAPERS = {"letter": (612.0, 792.0), "a4": (595.276, 841.89)}
"""Width and height in points."""
SIZES = {"normal": 1.0, "large": 1.46, "extra-large": 1.8}
"""The scale of each print size: "large" gives 16-point labels and a staff 1.46 times as high."""
_MARGIN, _TOP, _FOOT = 52.0, 42.0, 30.0
GUTTER = 30.0
"""Points at the left of label and music for the item's number."""
PUNCH = 18.0
"""Points by which pages to be punched are moved away from the binding."""


@dataclass(frozen=True)
class Paper:
    """The usable area of a page on paper ``name`` at print size ``size``.

    Measures are in points before the page is enlarged ``scale`` times, except ``whole``.
    The usable area lies between ``left`` and ``right``, ``top`` and ``bottom``; ``foot`` is
    the baseline of the footer.
    """

    name: str
    size: str = "normal"
    punched: bool = False

    @property
    def scale(self) -> float:
        return SIZES[self.size]

    @property
    def whole(self) -> tuple[float, float]:
        """Width and height of the paper in points, not scaled."""
        return PAPERS[self.name]

    @property
    def narrow(self) -> bool:
        """Whether large print leaves little width for elements side by side."""
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
        """The maximum length of a line of music in millimetres, the same on all papers."""
        narrow = min(width for width, _ in PAPERS.values()) - 2 * _MARGIN
        return min(LINE_WIDTH, int((narrow / self.scale - GUTTER) / 72 * 25.4))

    def finished(self, page: Page, index: int) -> Page:
        """The page at its final size, moved for punching: even ``index``, left binding."""
        shift = (PUNCH if index % 2 == 0 else -PUNCH) if self.punched else 0.0
        return Page([scaled(element, self.scale, shift) for element in page.elements])
