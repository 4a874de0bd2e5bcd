"""Checks the structure of a tagged PDF: each piece of content in one part, figures with words.

In: the bytes of a PDF. Out: findings. The streams must have one operation, or one text object, on a
line, as ``pages.render`` writes them. See ISO 32000-2, 14.6 to 14.8, and ISO 14289-1, 7.1 and 7.3;
the clauses are from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

import pikepdf

from workbook.pdf.finished import opened
from workbook.pdf.structure import ROLES
from workbook.pdf.syntax import Key, decoded

Faults = Iterator[tuple[int, str]]
"""(page, what is wrong); page 0 for the whole file."""

_MARKED = re.compile(rb"/(\w+) (?:<</MCID (\d+)>> BDC|BMC)|(/Span <<[^>]*>+ BDC)|\bEMC\b")
_PAINTS = re.compile(rb"\b(?:Do|S|f|B|s|b|Tj|TJ)\b")
_STRING = re.compile(rb"\((?:[^\\()]++|\\.)*+\)", re.DOTALL)
_DEEPEST = 30


def structure_faults(data: bytes) -> Faults:
    """(page, what is wrong) in the structure of a PDF. Raises Unreadable."""
    with opened(data) as pdf:
        root = pdf.Root.get("/StructTreeRoot")
        if not isinstance(root, pikepdf.Dictionary) or "/K" not in root:
            yield 0, "it has no structure tree, so screen readers find no order in it"
            return
        if not pdf.Root.get("/MarkInfo", pikepdf.Dictionary()).get("/Marked"):
            yield 0, "it does not say that it is tagged"
        walk = _Walk({page.obj.objgen: number for number, page in enumerate(pdf.pages, 1)})
        yield from walk.part(root.K, root, 0)
        tree = pikepdf.NumberTree(root.ParentTree)
        for number, page in enumerate(pdf.pages, 1):
            yield from _page(number, page, tree, walk.owners)


class _Walk:
    """A walk through the parts; ``owners`` has the part of each piece of content of each page."""

    def __init__(self, pages: dict[Key, int]):
        self.owners: dict[tuple[int, int], Key] = {}
        self._pages = pages
        self._walked: set[Key] = set()

    def part(self, part: object, above: pikepdf.Object, depth: int) -> Faults:
        """Check a part and all below it."""
        if not isinstance(part, pikepdf.Dictionary) or depth > _DEEPEST:
            yield 0, "its structure is damaged"
            return
        if part.objgen in self._walked:
            yield 0, "a part of its structure is in two places"
            return
        self._walked.add(part.objgen)
        role = str(part.get("/S"))[1:]
        if role not in ROLES:
            yield 0, f"a part of its structure is of an unknown type, {role}"
        if part.get("/P", pikepdf.Dictionary()).objgen != above.objgen:
            yield 0, f"a part of its structure, {role}, does not name the one above it"
        page = self._page(part)
        if role == "Figure" and not str(part.get("/Alt", "")):
            yield page, "a figure has no alternative text"
        kids = part.get("/K", pikepdf.Array())
        for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
            if isinstance(kid, int):
                yield from self._piece(page, kid, part)
            elif isinstance(kid, pikepdf.Dictionary) and "/MCID" in kid:
                yield from self._piece(self._page(kid), int(kid.MCID), part)
            elif not (isinstance(kid, pikepdf.Dictionary) and "/Obj" in kid):
                yield from self.part(kid, part, depth + 1)

    def _page(self, value: pikepdf.Dictionary) -> int:
        """The number of the page that ``value`` names, 0 for none."""
        page = value.get("/Pg")
        return self._pages.get(page.objgen, 0) if isinstance(page, pikepdf.Dictionary) else 0

    def _piece(self, page: int, number: int, part: pikepdf.Object) -> Faults:
        if (page, number) in self.owners or not page:
            yield page, f"piece {number} of the content is in two parts, or on no page"
        self.owners[page, number] = part.objgen


def _page(
    number: int,
    page: pikepdf.Page,
    tree: pikepdf.NumberTree,
    owners: dict[tuple[int, int], Key],
) -> Faults:
    content = page.obj.get("/Contents")
    drawn, outside = _pieces(b"" if content is None else decoded(content))
    if outside:
        yield (
            number,
            "something is drawn that is neither in the structure nor marked as an artifact",
        )
    if len(drawn) != len(set(drawn)):
        yield number, "two pieces of the content have the same number"
    key = page.obj.get("/StructParents")
    if key is None:
        if drawn:
            yield number, "the page does not say where its structure is"
        return
    listed: Sequence[pikepdf.Object] = list(tree[int(key)]) if int(key) in tree else ()
    mine = {piece: owner for (where, piece), owner in owners.items() if where == number}
    if mine != {piece: one.objgen for piece, one in enumerate(listed)} or set(mine) != set(drawn):
        yield number, "the page's content and its structure do not match"


def _pieces(stream: bytes) -> tuple[list[int], bool]:
    """The numbers of the pieces of content, and whether anything is painted outside of them."""
    found: list[int] = []
    depth, at, outside = 0, 0, False
    stream = _STRING.sub(b"()", stream)
    for mark in _MARKED.finditer(stream):
        if not depth and _PAINTS.search(stream, at, mark.start()):
            outside = True
        at = mark.end()
        if mark[0] == b"EMC":
            depth -= 1
        else:
            depth += 1
            if mark[2]:
                found.append(int(mark[2]))
    return found, outside or depth != 0 or bool(_PAINTS.search(stream, at))
