"""Paper sizes, margins, and the usable area of a page at each print size."""

from __future__ import annotations

from dataclasses import dataclass

from workbook import design
from workbook.design import PAPERS, SIZES
from workbook.pages.elements import Page, scaled


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
    def _small(self) -> bool:
        return self.whole[0] < design.SMALL

    def hand(self, name: str) -> str:
        """The name of what a hand of ``design`` becomes on this paper."""
        kind = self.size
        if self._small:
            kind = "small" if kind == "normal" else f"{kind} on small"
        return f"{name}, {kind}" if f"{name}, {kind}" in design.HANDS else name

    @property
    def _side(self) -> float:
        if self.size == "normal" and not self._small:
            return design.SIDE
        if not self._small and self.size != "extra-large":
            return design.LARGE_SIDE
        if self.punched:
            return design.TIGHT_PUNCHED
        return design.SMALL_SIDE if self._small else design.WIDEST_SIDE

    @property
    def shift(self) -> float:
        """By how many points pages move away from the binding, to be punched."""
        if not self.punched:
            return 0.0
        return design.TIGHT_PUNCH if self._side == design.TIGHT_PUNCHED else design.PUNCH

    @property
    def tight(self) -> bool:
        """Whether little fits on a page: small paper, or large print."""
        return self._small or self.size != "normal"

    @property
    def narrow(self) -> bool:
        """Whether large print leaves little width for elements side by side."""
        return self.measure < design.NARROW

    @property
    def measure(self) -> float:
        """The width between the margins."""
        return self.right - self.left

    @property
    def left(self) -> float:
        return self._side / self.scale

    @property
    def right(self) -> float:
        return (self.whole[0] - self._side) / self.scale

    @property
    def top(self) -> float:
        return (self.whole[1] - (design.SMALL_TOP if self.tight else design.TOP)) / self.scale

    @property
    def bottom(self) -> float:
        if self.size != "normal":
            return self.foot + design.LARGE_TO_FOOT
        return self.foot + (design.TIGHT_TO_FOOT if self._small else design.BODY_TO_FOOT)

    @property
    def closest(self) -> float:
        """The least distance between two lines of music of one exercise."""
        return design.CLOSEST if self.size == "normal" else design.TIGHT_CLOSEST

    @property
    def foot(self) -> float:
        lowest = self._small and self.size != "normal"
        return (design.SMALL_FOOT if lowest else design.FOOT) / self.scale

    @property
    def column(self) -> float:
        """The width of a column: of two, or on narrow paper of the whole measure."""
        return self.measure if self.narrow else self.column_of(2)

    def column_of(self, count: int) -> float:
        """The width of one of ``count`` columns."""
        return (self.measure - design.COLUMN_GAP * (count - 1)) / count

    def finished(self, page: Page, index: int) -> Page:
        """The page at its final size, moved for punching: even ``index``, left binding."""
        shift = self.shift if index % 2 == 0 else -self.shift
        if not shift and self.scale == 1.0:
            return page
        return Page([scaled(element, self.scale, shift) for element in page.elements])
