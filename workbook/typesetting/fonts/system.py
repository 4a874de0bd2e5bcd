"""Fonts installed on this machine that can stand in for the shipped ones.

In: characters and a style. Out: the font files, best first, whose character
table (``cmap``) has them and whose outlines are TrueType. The order depends
only on the names of the installed files, so one machine always picks one font.
"""

from __future__ import annotations

import importlib.util
import os
import struct
import unicodedata
from collections.abc import Iterator
from contextlib import suppress
from functools import cache, lru_cache
from pathlib import Path
from typing import BinaryIO

# Packages of fonts that pip can bring in; used when they are there.
_PACKAGES = ("fontpkg_noto_serif", "fontpkg_noto_sans")
_SUFFIXES = {".ttf", ".ttc", ".otf"}
# These have a picture for every code point: a box with the script's name, or nothing.
_NEVER = ("lastresort", "adobeblank", "tofu")
_AWKWARD = (
    "mono",
    "condensed",
    "display",
    "light",
    "thin",
    "black",
    "medium",
    "semi",
    "extra",
    "unjoined",
    "kufi",
    "rashi",
    "emoji",
)
_FAMILIES = ("notoserif", "notonaskh", "notosans", "noto", "dejavuserif", "dejavusans")


def folders() -> list[Path]:
    """Where Linux, macOS and Windows keep fonts; some may not exist."""
    found = [
        Path("/usr/share/fonts"),
        Path("/usr/local/share/fonts"),
        Path("/System/Library/Fonts"),
        Path("/Library/Fonts"),
    ]
    with suppress(RuntimeError):  # a user without a home folder
        found += [Path.home() / at for at in (".local/share/fonts", ".fonts", "Library/Fonts")]
    for variable, below in (("WINDIR", "Fonts"), ("LOCALAPPDATA", "Microsoft/Windows/Fonts")):
        if os.environ.get(variable):
            found.append(Path(os.environ[variable]) / below)
    for package in _PACKAGES:
        spec = importlib.util.find_spec(package)
        if spec and spec.origin:
            found.append(Path(spec.origin).parent / "files")
    return found


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError:  # it may not even be looked at
        return False


@lru_cache(maxsize=1)
def _files() -> tuple[Path, ...]:
    found = {
        path
        for folder in folders()
        if _is_folder(folder)
        for path in folder.rglob("*")
        if path.suffix.lower() in _SUFFIXES
        and not any(name in path.name.lower() for name in _NEVER)
    }
    return tuple(sorted(found, key=lambda path: (path.name.lower(), str(path))))


def candidates(char: str, face: str) -> Iterator[tuple[Path, int]]:
    """(file, index in the collection) of fonts with ``char``, the best first.

    Files named for the script of ``char`` are opened before the others, so that
    one name costs a few files and not the whole folder.
    """
    script = unicodedata.name(char, "").split(" ")[0].lower()
    for path in sorted(_files(), key=lambda path: _rank(path.stem.lower(), face, script)):
        for index, ranges in enumerate(_coverage(path)):
            if any(first <= ord(char) <= last for first, last in ranges):
                yield path, index


def _rank(stem: str, face: str, script: str) -> tuple[int, bool, int, int, str]:
    """Sort key of a file name: script, plain cut, family, style."""
    plain = stem.replace("-", "").replace("_", "").replace(" ", "")
    family = next((n for n, name in enumerate(_FAMILIES) if plain.startswith(name)), len(_FAMILIES))
    bold, italic = "bold" in plain, "italic" in plain or "oblique" in plain
    wrong = (bold != (face == "bold")) + (italic != (face == "italic"))
    # A general font of the family comes next to the script's own.
    general = any(
        plain.startswith(name)
        and plain[len(name) :].split("[")[0] in ("regular", "bold", "italic", "bolditalic", "")
        for name in ("notoserif", "notosans", "dejavuserif", "dejavusans")
    )
    near = 0 if script and script in plain else 1 if general else 2
    return near, any(name in plain for name in _AWKWARD), family, wrong, plain


@cache
def _coverage(path: Path) -> tuple[tuple[tuple[int, int], ...], ...]:
    """Per font of the file, the (first, last) code points of its cmap.

    Rough: a range may hold characters without a glyph, so the caller still asks
    the font it loads. Empty for a file that is damaged or has no TrueType outlines.
    """
    try:
        with path.open("rb") as file:
            data = file.read(12)
            offsets = [0]
            if data[:4] == b"ttcf":
                (count,) = struct.unpack(">L", data[8:12])
                offsets = list(struct.unpack(f">{count}L", file.read(4 * count)))
            return tuple(_font_coverage(file, offset) for offset in offsets)
    except (OSError, struct.error):
        return ()


def _font_coverage(file: BinaryIO, offset: int) -> tuple[tuple[int, int], ...]:
    file.seek(offset)
    (count,) = struct.unpack(">4xH6x", file.read(12))
    tables = {}
    for _ in range(count):
        tag, start, length = struct.unpack(">4s4xLL", file.read(16))
        tables[tag] = start, length
    if b"glyf" not in tables or b"cmap" not in tables:
        return ()
    start, length = tables[b"cmap"]
    file.seek(start)
    cmap = file.read(length)
    best: tuple[tuple[int, int], ...] = ()
    (count,) = struct.unpack_from(">2xH", cmap)
    for place in range(count):
        platform, encoding, at = struct.unpack_from(">HHL", cmap, 4 + 8 * place)
        if platform not in (0, 3) or (platform == 3 and encoding not in (1, 10)):
            continue
        (kind,) = struct.unpack_from(">H", cmap, at)
        if kind == 12:
            (groups,) = struct.unpack_from(">L", cmap, at + 12)
            numbers = struct.unpack_from(f">{3 * groups}L", cmap, at + 16)
            return tuple(zip(numbers[0::3], numbers[1::3]))
        if kind == 4:
            (double,) = struct.unpack_from(">H", cmap, at + 6)
            ends = struct.unpack_from(f">{double // 2}H", cmap, at + 14)
            starts = struct.unpack_from(f">{double // 2}H", cmap, at + 16 + double)
            best = tuple(zip(starts, ends))
    return best
