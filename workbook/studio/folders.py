"""A folder for each student, and inside it one for each workbook if there are several.

In: the roster's rows. Out: a relative path for each, valid on Linux, macOS and Windows
whatever the student is called. The names do not depend on the order of the rows.
Reserved names: Microsoft, "Naming Files, Paths, and Namespaces".
"""

from __future__ import annotations

import hashlib
import json
import re
import unicodedata
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from pathlib import PurePath

from workbook.studio.roster import Row

MOST_CHARACTERS = 60
MOST_BYTES = 120
_RESERVED = re.compile(r"(CON|PRN|AUX|NUL|CONIN|CONOUT|CLOCK|(COM|LPT)[0-9])\Z", re.IGNORECASE)


def folders(rows: Sequence[Row]) -> dict[int, PurePath]:
    """The folder of each row, by its index in ``rows``.

    A student with one row has one folder; a student with several has a folder inside it
    for each row, named after the row's title or else its template.
    """
    students = _distinct({row.student: (row.student, "") for row in rows}, "student")
    indexes = defaultdict(list)
    for index, row in enumerate(rows):
        indexes[row.student].append(index)
    found: dict[int, PurePath] = {}
    for student, own in indexes.items():
        if len(own) == 1:
            found[own[0]] = PurePath(students[student])
            continue
        copies: Counter[str] = Counter()
        names, wanted = {}, {}
        for index in own:
            content = _content(rows[index])
            copies[content] += 1
            # Nothing but their place tells equal rows apart, so either may be the second.
            ending = f"-{copies[content]}" if copies[content] > 1 else ""
            names[index] = content + ending
            wanted[names[index]] = (rows[index].title or rows[index].template.name, ending)
        below = _distinct(wanted, "workbook")
        found.update((index, PurePath(students[student], below[names[index]])) for index in own)
    return dict(sorted(found.items()))


def _content(row: Row) -> str:
    plain = [row.template.name, [key.ascii for key in row.keys], row.title, row.seed]
    own = row.own.cells()
    return json.dumps([*plain, own] if own else plain)


def _distinct(wanted: Mapping[str, tuple[str, str]], nameless: str) -> dict[str, str]:
    """A folder name for each identity, no two the same on a disk that ignores case.

    ``wanted`` gives each identity's text and the ending its name must have. Identities
    that would share a name all get a hash in it, so that none depends on which came first.
    """
    hashed: set[str] = set()
    length = 6
    while True:
        names, sharing = {}, defaultdict(list)
        for identity, (text, ending) in wanted.items():
            tag = "-" + _digest(identity, length) if identity in hashed else ""
            names[identity] = safe_name(text, tag + ending, nameless)
            sharing[_on_disk(names[identity])].append(identity)
        clashes = {i for group in sharing.values() if len(group) > 1 for i in group}
        if not clashes:
            return names
        if clashes <= hashed:
            length += 4
        hashed |= clashes


def _digest(text: str, length: int) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:length]


def _on_disk(name: str) -> str:
    """The form in which names clash on a disk that ignores case; stricter than any one disk."""
    return unicodedata.normalize("NFC", name.upper().casefold())


def safe_name(text: str, ending: str = "", nameless: str = "student") -> str:
    """``text`` as the name of a file or folder, with ``ending`` at its end.

    Letters, accents and digits of every script stay; everything else becomes a dash. If
    nothing is left, the name is ``nameless``.

    >>> safe_name("../../etc/x")
    'etc-x'
    """
    kept = "".join(
        c if c == "_" or unicodedata.category(c)[0] in "LMN" else "-"
        # Invisible characters, which some disks ignore when they compare names.
        for c in unicodedata.normalize("NFC", text)
        if unicodedata.category(c) != "Cf"
    )
    name = re.sub("-+", "-", kept).strip("-")
    while name and unicodedata.category(name[0])[0] == "M":
        name = name[1:].lstrip("-")
    name = (
        _cut(name or nameless, MOST_CHARACTERS - len(ending), MOST_BYTES - len(ending.encode()))
        + ending
    )
    if _RESERVED.match(unicodedata.normalize("NFKC", name)):
        name += "_"
    return name


def _cut(name: str, characters: int, size: int) -> str:
    """The start of ``name`` that fits, not cut between a letter and its accents."""
    end = min(len(name), characters)
    while len(name[:end].encode()) > size:
        end -= 1
    if end == len(name):
        return name
    whole = end
    while whole > 0 and unicodedata.category(name[whole])[0] == "M":
        whole -= 1
    return name[: whole or end].rstrip("-")
