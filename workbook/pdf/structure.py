"""The structure of a tagged PDF: parts in reading order, and where the content of each is.

In: parts, and pieces of content as they are drawn. Out: the objects of the structure tree with its
parent tree. See ISO 32000-2, 14.7 (logical structure) and 14.8 (tagged PDF), clauses from memory.
The objects of a file's parts have consecutive numbers, that of the whole document first.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import InitVar, dataclass, field

from workbook.pdf.syntax import short_string

ROLES = frozenset(
    {
        *("Document", "Part", "Sect", "Div", "H1", "H2", "H3", "P", "Figure", "Form"),
        *("Table", "TR", "TH", "TD", "L", "LI", "Lbl", "LBody"),
    }
)
"""The standard structure types that we use, all of the namespace of PDF 1.7 (14.8.4)."""
_PARENTS = re.compile(rb"\[[ 0-9R]*\]")
_ROOT = re.compile(rb"/K (\d+) 0 R")


@dataclass(eq=False, slots=True)
class Part:
    """A structure element. ``attributes`` are those of a table, written out.

    ``alt`` is a text in place of what is drawn, ``spoken`` one in place of its letters, ``title``
    a name for programs. ``kids`` are parts, and pieces of content as (page from 0, number on the
    page). ``number`` is that of its object, ``above`` that of its parent's, 0 if it has none.
    """

    role: str
    parent: InitVar[Part | None]
    alt: str = ""
    title: str = ""
    attributes: bytes = b""
    kids: list[Part | tuple[int, int]] = field(default_factory=list)
    number: int = 0
    above: int = 0
    spoken: str = ""
    language: str = ""

    def __post_init__(self, parent: Part | None) -> None:
        # the parent is not kept: a cycle would keep all parts in memory until a collection
        if parent is not None:
            parent.kids.append(self)


class Structure:
    """The structure of one file: call ``page`` before each page, ``content`` for each piece."""

    def __init__(
        self, document: Part | None = None, owners: Sequence[list[Part | None]] = ()
    ) -> None:
        self.document = document or Part("Document", None)
        self._owners = list(owners)
        """For each page the part that each piece of content belongs to; None for no piece."""

    def page(self) -> None:
        self._owners.append([])

    def content(self, part: Part) -> int:
        """The number of a new piece of content on this page, which belongs to ``part``."""
        owners = self._owners[-1]
        owners.append(part)
        part.kids.append((len(self._owners) - 1, len(owners) - 1))
        return len(owners) - 1

    def objects(self, first: int, root: int, pages: Sequence[int]) -> tuple[bytes, list[bytes]]:
        """The text of object ``root``, and the objects from number ``first`` on.

        ``pages`` are the numbers of the pages' objects.
        """
        elements = self.elements(first, root, pages)
        return tree_root(first, self.parents()[: len(pages)]), elements

    def elements(
        self, first: int, above: int, pages: Sequence[int], forms: Sequence[int] = ()
    ) -> list[bytes]:
        """The objects of the parts from number ``first`` on; ``above`` is that of what holds them.

        ``forms`` are the numbers of the forms that pages have become, which are drawn on ``pages``.
        """
        parts: list[Part] = []
        _numbered(self.document, first, parts)
        return [_element(part, above, pages, forms) for part in parts]

    def parents(self) -> list[bytes]:
        """For each page the array of the parts of its content, after ``elements``."""
        return [
            b"[%b]" % b" ".join([b"%d 0 R" % part.number if part else b"null" for part in page])
            for page in self._owners
        ]


def tree_root(document: int, parents: Sequence[bytes]) -> bytes:
    """The root of the tree; ``parents`` are for each page the array of the parts of its content,
    or a reference to it.
    """
    nums = b" ".join(b"%d %b" % (page, found) for page, found in enumerate(parents))
    return (
        b"<</Type /StructTreeRoot /K %d 0 R /ParentTree <</Nums [%b]>> /ParentTreeNextKey %d>>"
        % (document, nums, len(parents))
    )


def read_root(text: bytes) -> tuple[int, list[bytes]]:
    """What ``tree_root`` wrote: the number of the document, and the parents of each page."""
    found = _ROOT.search(text)
    if found is None:
        raise ValueError("a structure without a document")
    nums = text.partition(b"/Nums [")[2].rpartition(b"]>>")[0]
    return int(found[1]), _PARENTS.findall(nums)


def _numbered(part: Part, number: int, parts: list[Part]) -> int:
    """Give ``part`` and all below it numbers from ``number`` on; returns the next one."""
    part.number = number
    parts.append(part)
    number += 1
    for kid in part.kids:
        if isinstance(kid, Part):
            kid.above = part.number
            number = _numbered(kid, number, parts)
    return number


def _element(part: Part, above: int, pages: Sequence[int], forms: Sequence[int]) -> bytes:
    """The text of a structure element."""
    text = [b"<</S/%b/P %d 0 R" % (part.role.encode(), part.above or above)]
    if part.title:
        text.append(b"/T" + short_string(part.title))
    if part.alt:
        text.append(b"/Alt" + short_string(part.alt))
    if part.spoken:
        text.append(b"/ActualText" + short_string(part.spoken))
    if part.language:
        text.append(b"/Lang" + short_string(part.language))
    if part.attributes:
        text.append(b"/A<</O/Table%b>>" % part.attributes)
    own = None
    for kid in part.kids:
        if not isinstance(kid, Part):
            own = kid[0]
            break
    if own is not None:
        text.append(b"/Pg %d 0 R" % pages[own])
    kids = [
        b"%d 0 R" % kid.number if isinstance(kid, Part) else _content(kid, own, pages, forms)
        for kid in part.kids
    ]
    if kids:
        text.append(b"/K %b" % kids[0] if len(kids) == 1 else b"/K[%b]" % b" ".join(kids))
    return b"".join([*text, b">>"])


def _content(
    piece: tuple[int, int], own: int | None, pages: Sequence[int], forms: Sequence[int]
) -> bytes:
    """The text of a piece of content within a part that begins on page ``own``."""
    page, number = piece
    if forms:
        words = b"<</Type/MCR/Pg %d 0 R/Stm %d 0 R/MCID %d>>"
        return words % (pages[page], forms[page], number)
    if page == own:
        return b"%d" % number
    return b"<</Type/MCR/Pg %d 0 R/MCID %d>>" % (pages[page], number)
