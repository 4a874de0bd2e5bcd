"""Key signatures: named, written, related keys, the order of the sharps and flats.

``task`` says which: ``name`` shows a signature and asks its two keys; ``write`` names a
key and its relative or parallel one and asks both signatures; ``relatives`` names a key
and asks its related keys with their sharps or flats; ``order`` asks the sharps or flats
in the order in which a signature has them. The signatures are those of ``music.keys``.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from workbook.exercises import common
from workbook.exercises.figures import Boxes, Grid
from workbook.exercises.model import SIDES, Blank, Event, Exercise, Family, Request, Staff, give
from workbook.music.keys import ALL_KEYS, Key, signature
from workbook.music.naming import Naming
from workbook.music.pitch import pitch
from workbook.music.register import CLEFS

_ASKS = {
    "name": ("major", "minor"),
    "write": ("signature",),
    "relatives": ("key", "count"),
    "order": ("note",),
}


def relative(key: Key) -> Key:
    """The key of the other mode with the same signature."""
    return next(k for k in ALL_KEYS if k.fifths == key.fifths and k.mode != key.mode)


def parallel(key: Key) -> Key | None:
    """The key of the other mode on the same tonic, None where no signature has it."""
    return next((k for k in ALL_KEYS if k.tonic == key.tonic and k.mode != key.mode), None)


def count(key: Key) -> str:
    """How many sharps or flats the signature has: ``"3♭"``, ``"0"``."""
    return f"{abs(key.fifths)}{'♯' if key.fifths > 0 else '♭'}" if key.fifths else "0"


def _other_counts(key: Key) -> tuple[str, ...]:
    """Other ways to write ``count``: ``"3 flats"``, ``"3b"``."""
    number, sharp = abs(key.fifths), key.fifths > 0
    if not number:
        return ("none",)
    word = ("sharp" if sharp else "flat") + "s" * (number > 1)
    return f"{number} {word}", f"{number}{'#' if sharp else 'b'}"


def make(request: Request, rng: Random) -> Exercise:
    task = request.settings.get("task", "name")
    ask = tuple(asks for asks in _ASKS[task] if asks in request.ask) or _ASKS[task]
    return {"name": _name, "write": _write, "relatives": _relatives, "order": _order}[task](
        replace(request, ask=ask), rng
    )


def _name(request: Request, rng: Random) -> Exercise:
    sides = SIDES[request.hand]
    keys = {key.mode: key for key in (request.key, relative(request.key))}
    blanks = [
        Blank(mode, sides[-1], 0, None, (key.tonic_in(4),), *_tonic(key, request.naming))
        for mode, key in keys.items()
    ]
    things = " and the ".join(f"{mode} key" for mode in request.ask)
    return Exercise(
        "key-signatures",
        request.key,
        request.hand,
        f"Write the {things} of this key signature.",
        common.heading(request, by="clef"),
        tuple(Staff(side, (Event((), CLEFS[side], "1", "||"),)) for side in sides),
        common.in_order(blanks, request.ask),
    )


def _tonic(key: Key, naming: Naming) -> tuple[str, tuple[str, ...]]:
    """The key by its tonic alone, and other ways to write it."""
    name = naming.note(key.tonic_in(4))
    return name, (naming.key(key), *((_small(name), f"{name}m") if key.minor else ()))


def _small(name: str) -> str:
    """A minor key's letter is often written small."""
    return name[0].lower() + name[1:]


def _write(request: Request, rng: Random) -> Exercise:
    key, naming = request.key, request.naming
    others = {"relative": relative(key), naming.parallel: parallel(key)}
    usable = [word for word, other in others.items() if other and (key.fifths or other.fifths)]
    word = rng.choice(usable)
    keys = (key, others[word])
    given = 1 if request.given else 0  # the first one is printed
    bars = ("||", "|.")
    staves = tuple(
        Staff(
            side,
            tuple(
                Event(
                    (),
                    CLEFS[side],
                    "1",
                    bars[column],
                    signature=one,
                    signature_written=column >= given,
                )
                for column, one in enumerate(keys)
            ),
        )
        for side in SIDES[request.hand]
    )
    blanks = tuple(
        Blank(
            "signature",
            staff.hand,
            column,
            None,
            (),
            common.signs(one, naming),
            why="" if one.fifths or staff is not staves[0] else "no sharps or flats",
        )
        for staff in staves
        for column, one in enumerate(keys)
        if column >= given
    )
    return Exercise(
        "key-signatures",
        key,
        request.hand,
        "Write the two key signatures.",
        f"{naming.key(key)} and {word} {keys[1].mode}",
        staves,
        blanks,
        signed=False,
    )


def _relatives(request: Request, rng: Random) -> Exercise:
    key, naming = request.key, request.naming
    others = {"relative": relative(key), naming.parallel: parallel(key)}
    rows = [("", key)] + [
        (f"{word} {other.mode}", other) for word, other in others.items() if other
    ]
    printed, asked = [], []
    for row, (word, one) in enumerate(rows):
        of, name = (one.tonic_in(4),), naming.key(one)
        if word:
            printed.append(Blank("word", "right", row, None, of, word, given=True))
            short = naming.note(of[0])
            also = (f"{_small(short)} minor", f"{short}m", short) if one.minor else (short,)
            asked.append(Blank("key", "right", row, None, of, name, also))
        else:
            printed.append(Blank("key", "right", row, None, of, name, given=True))
        asked.append(Blank("count", "right", row, None, of, count(one), _other_counts(one)))
    asked = give(common.in_order(asked, request.ask), request.given, rng)
    things = " and ".join(
        words
        for asks, words in (
            ("key", "the keys"),
            ("count", "how many sharps or flats they have (such as 2♯, 3♭, 0)"),
        )
        if asks in request.ask
    )
    return Exercise(
        "key-signatures",
        key,
        "right",
        f"Write {things}.",
        naming.key(key),
        (),
        (*printed, *asked),
        figure=Grid(("word", "key", "count"), len(rows)),
    )


def _order(request: Request, rng: Random) -> Exercise:
    key, naming = request.key, request.naming
    whole = (
        key
        if key.fifths
        else rng.choice([k for k in ALL_KEYS if abs(k.fifths) == 7 and k.mode == key.mode])
    )
    sharp = whole.fifths > 0
    notes = [pitch(f"{name}{'#' if sharp else 'b'}4") for name in signature(whole)]
    blanks = tuple(
        Blank("note", "right", column, None, (p,), naming.note(p)) for column, p in enumerate(notes)
    )
    kind = ("sharp" if sharp else "flat") + "s" * (len(notes) > 1)
    label = f"The {kind} of {naming.key(key)}" if key.fifths else f"All seven {kind}"
    return Exercise(
        "key-signatures",
        key,
        "right",
        "Write the sharps or flats in their order.",
        label,
        (),
        give(blanks, request.given, rng) if len(blanks) > 1 else blanks,
        figure=Boxes("note", len(notes)),
    )


FAMILY = Family(
    "key-signatures",
    "Key signatures",
    tuple(asks for row in _ASKS.values() for asks in row),
    {"task": tuple(_ASKS)},
    make,
    by="clef",
)
