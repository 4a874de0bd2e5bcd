"""The structure of any tagged PDF, as parts to be written again.

In: an open PDF. Out: its ``Structure``, with nothing that is not understood: no actions, no notes
or form fields, which stay behind, and no structure at all where any of it is damaged or unknown.
See ISO 32000-1, 14.7 and 14.8; clauses from memory.
"""

from __future__ import annotations

import pikepdf

from workbook.pdf.limits import DAMAGE
from workbook.pdf.structure import ROLES, Part, Structure
from workbook.pdf.syntax import Key

_KNOWN = ROLES | frozenset(
    {
        *("Art", "BlockQuote", "Caption", "TOC", "TOCI", "Index", "NonStruct", "H", "H4", "H5"),
        *("H6", "THead", "TBody", "TFoot", "Span", "Quote", "Note", "Reference", "BibEntry"),
        *("Code", "Formula"),
    }
)
"""The standard structure types (14.8.4), but for links, annotations, and signs of East Asia."""
_MAY_BE_EMPTY = ("TD", "TH")
_DEEPEST, _MOST = 60, 100_000
"""Levels of a tree, and its parts or the pieces of content of a page: more come from damage."""


class _Unsound(ValueError):
    """The structure is damaged, or of a kind that is not known here."""


def structure_of(pdf: pikepdf.Pdf) -> Structure | None:
    """The structure of a file, in a part that stands for the whole; None without a sound one."""
    root = pdf.Root.get("/StructTreeRoot")
    info = pdf.Root.get("/MarkInfo")
    if not isinstance(root, pikepdf.Dictionary) or not isinstance(info, pikepdf.Dictionary):
        return None
    if not bool(info.get("/Marked", False)):
        return None
    try:
        return _Reading(pdf, root).structure
    except (*DAMAGE, _Unsound):
        return None


def language_of(pdf: pikepdf.Pdf) -> str:
    """The language that a file says it is in, as a language tag; empty if it says none."""
    return _words(pdf.Root, "/Lang")


class _Reading:
    def __init__(self, pdf: pikepdf.Pdf, root: pikepdf.Object):
        self._pages = {page.obj.objgen: index for index, page in enumerate(pdf.pages)}
        self._roles = root.get("/RoleMap", pikepdf.Dictionary())
        self._read: set[Key] = set()
        self._owners: list[dict[int, Part]] = [{} for _ in self._pages]
        whole = Part("Part", None)
        for kid in _kids(root):
            if not isinstance(kid, pikepdf.Dictionary):
                raise _Unsound
            if str(kid.get("/S")) == "/Document":
                self._below(kid, whole, 0)
            else:
                self._part(kid, whole, 0)
        owners = [
            [found.get(n) for n in range(max(found, default=-1) + 1)] for found in self._owners
        ]
        self.structure = Structure(whole, owners)

    def _part(self, value: pikepdf.Object, above: Part, depth: int) -> None:
        """Add a structure element to ``above``, unless nothing is in it."""
        alt, spoken = _words(value, "/Alt"), _words(value, "/ActualText")
        title, language = _words(value, "/T"), _words(value, "/Lang")
        role = self._role(value)
        part = Part(role, above, alt, title, _attributes(value), spoken=spoken, language=language)
        self._below(value, part, depth)
        if not part.kids and role not in _MAY_BE_EMPTY:
            above.kids.pop()

    def _role(self, value: pikepdf.Object) -> str:
        role = value.get("/S")
        for _ in range(_DEEPEST):
            if not isinstance(role, pikepdf.Name):
                raise _Unsound
            if str(role)[1:] in _KNOWN:
                return str(role)[1:]
            role = self._roles.get(str(role))
        raise _Unsound

    def _below(self, value: pikepdf.Object, part: Part, depth: int) -> None:
        """Add what is in a structure element to ``part``."""
        if depth > _DEEPEST or value.objgen in self._read or len(self._read) > _MOST:
            raise _Unsound
        if value.is_indirect:
            self._read.add(value.objgen)
        own = value.get("/Pg")
        for kid in _kids(value):
            if isinstance(kid, int):
                self._piece(own, kid, part)
            elif not isinstance(kid, pikepdf.Dictionary) or "/Stm" in kid:
                raise _Unsound
            elif "/MCID" in kid:
                self._piece(kid.get("/Pg", own), int(kid.MCID), part)
            elif "/Obj" not in kid:
                self._part(kid, part, depth + 1)

    def _piece(self, page: pikepdf.Object | None, number: int, part: Part) -> None:
        index = self._pages.get(page.objgen) if isinstance(page, pikepdf.Dictionary) else None
        if index is None or not 0 <= number < _MOST or number in self._owners[index]:
            raise _Unsound
        self._owners[index][number] = part
        part.kids.append((index, number))


def _kids(value: pikepdf.Object) -> list[object]:
    kids = value.get("/K", pikepdf.Array())
    return list(kids) if isinstance(kids, pikepdf.Array) else [kids]


def _words(value: pikepdf.Object, key: str) -> str:
    found = value.get(key)
    words = str(found) if isinstance(found, pikepdf.String) else ""
    words.encode("utf-16-be")  # raises for what is no text
    return words


def _attributes(value: pikepdf.Object) -> bytes:
    """The attributes of a cell: for what it is a heading, and how many rows or columns it has."""
    found = value.get("/A", pikepdf.Array())
    written = b""
    for one in found if isinstance(found, pikepdf.Array) else [found]:
        if isinstance(one, pikepdf.Dictionary) and str(one.get("/O")) == "/Table":
            scope = str(one.get("/Scope"))
            if scope in ("/Row", "/Column", "/Both"):
                written += b"/Scope%b" % scope.encode()
            for span in ("/RowSpan", "/ColSpan"):
                if isinstance(one.get(span), int):
                    written += b"%b %d" % (span.encode(), int(one[span]))
    return written
