"""PDFs that a build has finished: opened again, and their objects as they stand in the file.

In: the bytes of a PDF that ``pages.render`` wrote. Out: its pages, and each object as
bytes, found by the cross-reference table. See ISO 32000-1, 7.3.10 (indirect objects),
7.5.7 (object streams), 7.5.8 (cross-reference streams) and 7.7.3 (page tree).
"""

from __future__ import annotations

import io
import re
import zlib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager

import pikepdf

from workbook.pdf.limits import DAMAGE, MOST_READ, Refused
from workbook.pdf.packed import Found, read_table, unpacked
from workbook.pdf.structure import read_root
from workbook.pdf.syntax import Key

_PAGES, _PARENT, _TREE = (
    re.compile(rb"/%b ([0-9]+) 0 R\b" % name) for name in (b"Pages", b"Parent", b"StructTreeRoot")
)
_KIDS = re.compile(rb"/Kids \[([^]]*+)\]")
_STREAM = re.compile(rb">>(?=\s*stream\r?\n)")
_DAMAGED = "the file is damaged"
_NOT_ONE_LIST = "the pages are not in one list"


class Unreadable(Exception):
    """The file is not a PDF, or not one that this program wrote."""


@contextmanager
def opened(data: bytes) -> Iterator[pikepdf.Pdf]:
    """A PDF in memory, nothing in it repaired. Raises Unreadable, also for faults in its use."""
    try:
        with pikepdf.open(
            io.BytesIO(data), attempt_recovery=False, inherit_page_attributes=False
        ) as pdf:
            yield pdf
            faults = pdf.get_warnings()
    except pikepdf.PasswordError as error:
        raise Unreadable("it is locked with a password") from error
    except Refused as error:
        raise Unreadable(str(error)) from error
    except DAMAGE as error:
        raise Unreadable(_DAMAGED) from error
    if faults:
        raise Unreadable(_DAMAGED)


def _unfolded(data: bytes) -> bytes:
    unfolding = zlib.decompressobj()
    found = unfolding.decompress(data, MOST_READ)
    if not unfolding.eof:
        raise ValueError("cut short, or too large")
    return found


def _named(text: bytes, entry: re.Pattern[bytes]) -> Key:
    """The object that a dictionary names. Raises ValueError if it names none."""
    found = entry.search(text)
    if found is None:
        raise ValueError(entry.pattern)
    return int(found[1]), 0


class FinishedPdf:
    """The objects of one file, a ``Source``. Raises Unreadable.

    The file is one that ``pdf.packed`` wrote, and has all pages in one list.
    """

    def __init__(self, data: bytes):
        self._data = data
        self._spans: dict[Key, tuple[int, int]] = {}
        self._packed: dict[Key, bytes] = {}
        """The objects within streams."""
        self.tree: Key
        """The list of pages, which every page names as its parent."""
        self.pages: list[Key]
        """The pages, in order."""
        self.structure: Key | None
        """The root of the structure tree."""
        table = read_table(data)
        if table is None:
            self._read_any()
        else:
            self._read(table)

    def _read(self, table: Found) -> None:
        """Read the objects of a file as ``pdf.packed`` writes it, in a third of the time that a
        reader of any file takes.
        """
        self._find({(number, 0): place for number, place in table.places.items()}, table.streams)
        try:
            root, _ = self.object((table.root, 0))
            self.tree = _named(root, _PAGES)
            kids = _KIDS.search(self.object(self.tree)[0])
            self.pages = [(int(number), 0) for number in kids[1].split()[::3]] if kids else []
            parents = {_named(self.object(key)[0], _PARENT) for key in self.pages}
        except (KeyError, ValueError):
            raise Unreadable(_DAMAGED) from None
        self.structure = _named(root, _TREE) if _TREE.search(root) else None
        if parents != {self.tree}:
            raise Unreadable(_NOT_ONE_LIST)

    def _read_any(self) -> None:
        """Read the objects of a file that another program has written again."""
        with opened(self._data) as pdf:
            self.tree = pdf.Root.Pages.objgen
            found = [page.obj for page in pdf.pages]
            self.pages = [page.objgen for page in found]
            parents = {page.Parent.objgen for page in found}
            tree = pdf.Root.get("/StructTreeRoot")
            self.structure = None if tree is None else tree.objgen
            table = pdf.get_xref_table()
        if parents != {self.tree}:
            raise Unreadable(_NOT_ONE_LIST)
        self._find(
            {key: entry.offset or 0 for key, entry in table.items() if entry.type == 1},
            sorted({one.obj_stream_number or 0 for one in table.values() if one.type == 2}),
        )

    def _find(self, places: Mapping[Key, int], streams: Sequence[int]) -> None:
        """Note where objects are, and unpack those within ``streams``."""
        placed = sorted((start, key) for key, start in places.items())
        ends = [*(start for start, _ in placed[1:]), len(self._data)]
        self._spans = {key: (start, end) for (start, key), end in zip(placed, ends)}
        for number in streams:
            self._unpack((number, 0))

    def _unpack(self, key: Key) -> None:
        head, rest = self.object(key)
        start = rest.index(b"stream\n") + len(b"stream\n")
        try:
            unfolded = _unfolded(rest[start : rest.rindex(b"\nendstream")])
            found = unpacked(head, unfolded)
        except (zlib.error, ValueError, IndexError):
            raise Unreadable("it has objects within a stream that cannot be read") from None
        self._packed.update(((number, 0), text) for number, text in found)

    def object(self, key: Key) -> tuple[bytes, bytes]:
        """The text of an object up to a stream's data, and the rest."""
        if key in self._packed:
            return self._packed[key], b""
        if key not in self._spans:
            raise Unreadable(_DAMAGED)
        data, (start, end) = self._data, self._spans[key]
        begin = b"%d %d obj" % key
        if not data.startswith(begin, start):
            raise Unreadable(f"object {key[0]} is not where the table has it")
        body = data[start + len(begin) : data.rindex(b"endobj", start, end)].strip()
        found = _STREAM.search(body)
        if found:
            return body[: found.end()], body[found.end() :]
        return body, b""

    def parts(self) -> tuple[int, list[bytes], list[bytes]]:
        """The structure: the number of its first part, the text of each, numbered on from that
        one, and for each page the array of the parts of its content. ``structure`` must be there.
        """
        if self.structure is None:
            raise Unreadable("it has no structure")
        first, parents = read_root(self.object(self.structure)[0])
        found: list[bytes] = []
        while (text := self._packed.get((first + len(found), 0))) is not None:
            found.append(text)
        if not found or len(parents) != len(self.pages):
            raise Unreadable("its structure is not as it was written")
        return first, found, parents
