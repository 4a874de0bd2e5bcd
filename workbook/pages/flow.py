"""Filling pages from the top down: blocks that never split, and full pages spread out.

In: blocks of marks with their heights. Out: sheets.
"""

from __future__ import annotations

from workbook.pages.marks import Mark, Sheet, lowered

PAPERS = {"letter": (612.0, 792.0), "a4": (595.276, 841.89)}
"""Width and height in points."""
MARGIN, TOP, BOTTOM, FOOT = 52.0, 46.0, 58.0, 34.0
_MOST_SPREAD = 30.0
"""Points: the most that is added between two blocks of a page."""


class Flow:
    """The page being filled; ``y`` is how far down it is."""

    def __init__(self, size: tuple[float, float]):
        self.width, self.height = size
        self.sheets = [Sheet()]
        self.y = self.height - TOP
        self._blocks: list[int] = []

    @property
    def sheet(self) -> Sheet:
        return self.sheets[-1]

    @property
    def right(self) -> float:
        return self.width - MARGIN

    def room(self, height: float) -> None:
        """Go to a new page unless ``height`` points are left on this one."""
        if self.y - height < BOTTOM and self.sheet.marks:
            self._spread()
            self.sheets.append(Sheet())
            self.y = self.height - TOP
            self._blocks = []

    def begin(self) -> None:
        """A block starts here: room may be added before it when the page is full."""
        self._blocks.append(len(self.sheet.marks))

    def add(self, *marks: Mark) -> None:
        self.sheet.marks.extend(marks)

    def _spread(self) -> None:
        """Share what is left at the foot of a full page out between its blocks."""
        starts = [start for start in self._blocks if start]
        if not starts:
            return
        step = min((self.y - BOTTOM) / len(starts), _MOST_SPREAD)
        self.sheet.marks = [lowered(mark, step * sum(start <= index for start in starts))
                            for index, mark in enumerate(self.sheet.marks)]
