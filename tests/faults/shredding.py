"""Random damage to one file of a build, as a bad disk, a bad copy or a bad program does it."""

from __future__ import annotations

import io
import re
import zlib
from collections.abc import Callable
from pathlib import Path
from random import Random

import pikepdf

_NUMBER = re.compile(rb"-?\d+(?:\.\d+)?")
_OBJECT = re.compile(rb"\d+ \d+ obj.*?endobj\s*", re.DOTALL)
_NONSENSE = (
    b"0",
    b"-1",
    b"1e999",
    b"nan",
    b"99999999999999999999",
    b"null",
    b"/Nothing",
    b"612.5",
    b"[",
    b'"',
    b"true",
)


def shred(number: int, out: Path) -> tuple[str, Path]:
    """Damage one file of the build in ``out``: what was done, and to which file."""
    rng = Random(f"shred {number}")
    files = sorted(path for path in out.rglob("*") if path.is_file())
    path = rng.choice([file for file in files if file.suffix != ".csv"] + files)
    name = rng.choice([name for name in _WAYS if path.suffix == ".pdf" or name not in _OF_PDFS])
    if name == "gone":
        path.unlink()
    elif name == "another's":
        path.write_bytes(rng.choice(files).read_bytes())
    else:
        path.write_bytes(_WAYS[name](rng, path.read_bytes()))
    return name, path


def _cut(rng: Random, data: bytes) -> bytes:
    return data[: rng.randrange(len(data))]


def _flipped(rng: Random, data: bytes) -> bytes:
    changed = bytearray(data)
    for _ in range(rng.choice((1, 1, 10, 200))):
        changed[rng.randrange(len(changed))] ^= 1 << rng.randrange(8)
    return bytes(changed)


def _swapped(rng: Random, data: bytes) -> bytes:
    a, b, c = sorted(rng.randrange(len(data) + 1) for _ in range(3))
    return data[:a] + data[b:c] + data[a:b] + data[c:]


def _doubled(rng: Random, data: bytes) -> bytes:
    a, b = sorted(rng.randrange(len(data) + 1) for _ in range(2))
    return data[:b] + data[a:b] + data[b:]


def _zeroed(rng: Random, data: bytes) -> bytes:
    """A sector of the disk that was never written."""
    at = rng.randrange(0, len(data), 512)
    return data[:at] + bytes(min(512, len(data) - at)) + data[at + 512 :]


def _renumbered(rng: Random, data: bytes) -> bytes:
    found = list(_NUMBER.finditer(data))
    for match in sorted(rng.sample(found, min(len(found), rng.randint(1, 4))), key=_start)[::-1]:
        data = data[: match.start()] + rng.choice(_NONSENSE) + data[match.end() :]
    return data


def _start(match: re.Match[bytes]) -> int:
    return match.start()


def _without_object(rng: Random, data: bytes) -> bytes:
    found = list(_OBJECT.finditer(data))
    if not found:
        return _cut(rng, data)
    match = rng.choice(found)
    return data[: match.start()] + data[match.end() :]


def _rewritten(rng: Random, data: bytes) -> bytes:
    """Numbers changed within the streams, which are stored without compression then."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        pdf.save(out, stream_decode_level=pikepdf.StreamDecodeLevel.all, compress_streams=False)
    return _renumbered(rng, out.getvalue())


def _entry(rng: Random, data: bytes) -> bytes:
    """An entry of one object is another value now, or is gone."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        things = [
            one for one in pdf.objects if isinstance(one, pikepdf.Dictionary | pikepdf.Stream)
        ]
        thing = rng.choice(things)
        key = rng.choice([key for key in sorted(thing.keys()) if key != "/Length"] or ["/More"])
        if rng.random() < 0.4 and key in thing:
            del thing[key]
        else:
            thing[key] = rng.choice(
                (
                    pikepdf.Array([]),
                    pikepdf.Dictionary(),
                    pikepdf.Name("/Nothing"),
                    pikepdf.String("?"),
                    -1,
                    10**9,
                    pikepdf.Array([-1, 0, pikepdf.Name("/x")]),
                    pdf.Root,
                    thing if thing.is_indirect else True,
                )
            )
        pdf.save(out)
    return out.getvalue()


def _swollen(rng: Random, data: bytes) -> bytes:
    """A small stream that becomes hundreds of megabytes when it is read."""
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        page = rng.choice(list(pdf.pages))
        packed = zlib.compress(bytes(10**6), 9)
        pieces = zlib.compressobj(9)
        packed = b"".join(pieces.compress(bytes(10**6)) for _ in range(400)) + pieces.flush()
        stream = pikepdf.Stream(pdf, packed)
        stream["/Filter"] = pikepdf.Name("/FlateDecode")
        page.Contents = pdf.make_indirect(stream)
        pdf.save(out, compress_streams=False)
    return out.getvalue()


def _unlike(rng: Random, data: bytes) -> bytes:
    return rng.choice((b"", b"\0" * 3000, b"%PDF-1.4\n%%EOF\n", b"<html>", rng.randbytes(5000)))


_OF_PDFS = {"without an object": _without_object, "rewritten": _rewritten, "entry": _entry}
_OF_PDFS["swollen"] = _swollen
_WAYS: dict[str, Callable[[Random, bytes], bytes]] = {
    "cut": _cut,
    "flipped": _flipped,
    "swapped": _swapped,
    "doubled": _doubled,
    "zeroed": _zeroed,
    "renumbered": _renumbered,
    "unlike": _unlike,
    "gone": _unlike,
    "another's": _unlike,
    **_OF_PDFS,
}
