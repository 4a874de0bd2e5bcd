"""PDFs that a build has finished: opened again, and their objects as they stand in the file.

In: the bytes of a PDF that ``pages.render`` wrote. Out: its pages, and each object as
bytes, found by the cross-reference table. See ISO 32000-1, 7.3.10 (indirect objects),
7.5.4 (cross-reference table) and 7.7.3 (page tree).
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager

import pikepdf

from workbook.pdf.limits import DAMAGE, Refused
from workbook.pdf.syntax import Key

_STREAM = re.compile(rb">>(?=\s*stream\r?\n)")
_TRANSITION = re.compile(rb"/Trans\s*<<\s*>>\s*")
_DAMAGED = "the file is damaged"


class Unreadable(Exception):
    """The file is no PDF, or not one that this program wrote."""


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


class FinishedPdf:
    """The objects of one file, a ``Source``. Raises Unreadable.

    The file has each object once, none within a stream, and all pages in one list.
    """

    def __init__(self, data: bytes):
        with opened(data) as pdf:
            self.tree: Key = pdf.Root.Pages.objgen
            """The list of pages, which every page names as its parent."""
            found = [page.obj for page in pdf.pages]
            self.pages: list[Key] = [page.objgen for page in found]
            """The pages, in order."""
            parents = {page.Parent.objgen for page in found}
            table = pdf.get_xref_table()
        if parents != {self.tree}:
            raise Unreadable("the pages are not in one list")
        if any(entry.type != 1 for entry in table.values()):
            raise Unreadable("it has objects within a stream")
        self._data, self._page_keys = data, set(self.pages)
        starts = sorted((entry.offset or 0, key) for key, entry in table.items())
        ends = [*(start for start, _ in starts[1:]), len(data)]
        self._spans = {key: (start, end) for (start, key), end in zip(starts, ends)}

    def object(self, key: Key) -> tuple[bytes, bytes]:
        """The text of an object up to a stream's data, and the rest.

        A page comes without the empty transition that reportlab gives it: it is for screens.
        """
        data, (start, end) = self._data, self._spans[key]
        begin = b"%d %d obj" % key
        if not data.startswith(begin, start):
            raise Unreadable(f"object {key[0]} is not where the table has it")
        body = data[start + len(begin) : data.rindex(b"endobj", start, end)].strip()
        found = _STREAM.search(body)
        if found:
            return body[: found.end()], body[found.end() :]
        return _TRANSITION.sub(b"", body) if key in self._page_keys else body, b""
