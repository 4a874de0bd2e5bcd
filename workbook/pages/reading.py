"""The reading order of a file while its pages are drawn.

In: the starts among the elements of pages. Out: the operators around pieces of content (ISO
32000-1, 14.6), and the structure that they belong to.
"""

from __future__ import annotations

from collections.abc import Iterable

from workbook.pages.elements import ARTIFACT, Group, Start
from workbook.pdf.structure import Part, Structure

ASIDE = "/Artifact BMC"
"""Begins what is no part of the text."""


class Reading:
    """The structure of one file; with ``answered``, figures are described with their answers."""

    def __init__(self, answered: bool = False):
        self.structure = Structure()
        self._answered = answered
        self._groups: dict[int, Part] = {}
        """The part of each group, by its identity."""
        self._starts: dict[int, tuple[Start, Part]] = {}
        """The part that each start began; starts are kept, so that identities stay theirs."""

    def page(self, starts: Iterable[Start] = ()) -> None:
        """Begin a page with the parts of ``starts``, in this order, whatever is drawn first."""
        self.structure.page()
        for start in starts:
            if start.group is not ARTIFACT:
                self.part(start)

    def begin(self, start: Start) -> str:
        """The operator that begins a piece of content of a part."""
        if start.group is ARTIFACT:
            return ASIDE
        part = self.part(start)
        return f"/{part.role} <</MCID {self.structure.content(part)}>> BDC"

    def part(self, start: Start) -> Part:
        """The part that ``start`` begins or continues."""
        if not start.role:
            return self._group(start.group)
        found = self._starts.get(id(start))
        if found is None:
            part = Part(start.role, self._group(start.group), start.alt)
            if start.scope:
                part.attributes = f"/Scope/{start.scope}".encode()
            if start.rows > 1:
                part.attributes += b"/RowSpan %d" % start.rows
            found = self._starts[id(start)] = start, part
        return found[1]

    def _group(self, group: Group) -> Part:
        part = self._groups.get(id(group))
        if part is None:
            if group.within is None:
                part = self.structure.document
            else:
                alt = group.told(self._answered) if group.told else ""
                part = Part(group.role, self._group(group.within), alt, group.title)
            self._groups[id(group)] = part
        return part
