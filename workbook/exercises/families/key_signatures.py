"""Key signatures: named, written, related keys, the order of the sharps and flats.

The setting ``task`` says which: ``name`` shows a signature and asks for its two keys;
``write`` names a key and its parallel key, or where no signature has that the next key on
the circle of fifths, and asks for both signatures;
``relatives`` names a key and asks for the related keys with their sharps or flats; ``order``
asks for the sharps or flats in their order. The signatures are those of ``music.keys``.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import COUNT, MAJOR, MINOR, NOTE, AnswerKind
from workbook.exercises.blanks import give, in_order
from workbook.exercises.family import Family
from workbook.exercises.figures import Boxes, Grid
from workbook.exercises.model import SIDES, Blank, Event, Exercise, Request, Staff
from workbook.exercises.settings import Setting
from workbook.exercises.telling import KeyName
from workbook.music.keys import ALL_KEYS, Key, signature
from workbook.music.naming import Naming
from workbook.music.pitch import pitch
from workbook.music.register import CLEFS

SIGNATURE = AnswerKind("signature", "a key signature to be written", None, words="notes")
KEY = AnswerKind(
    "key",
    "a key",
    25.2,
    longer=((9, 27.0), (10, 28.4)),
    row="top",
    words="notes",
    telling=KeyName("root"),
)
WORD = AnswerKind("word", "how a key is related", 36.0, words="steps")
_ASKED = {
    "name": (MAJOR, MINOR),
    "write": (SIGNATURE,),
    "relatives": (KEY, COUNT),
    "order": (NOTE,),
}
"""What each task asks."""


def relative(key: Key) -> Key:
    """The key of the other mode with the same signature."""
    return next(k for k in ALL_KEYS if k.fifths == key.fifths and k.mode != key.mode)


def parallel(key: Key) -> Key | None:
    """The key of the other mode on the same tonic, or None if no signature has it."""
    return next((k for k in ALL_KEYS if k.tonic == key.tonic and k.mode != key.mode), None)


def _nearer(key: Key) -> Key:
    """The key of the same mode with one sharp or flat less."""
    fifths = key.fifths - (1 if key.fifths > 0 else -1)
    return next(k for k in ALL_KEYS if k.fifths == fifths and k.mode == key.mode)


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


def _make(request: Request, rng: Random) -> Exercise:
    task = request.settings["task"]
    all_of = tuple(kind.name for kind in _ASKED[task])
    ask = tuple(asks for asks in all_of if asks in request.ask) or all_of
    asked = replace(request, ask=ask)
    if task == "name":
        return _name(asked)
    if task == "write":
        return _write(asked)
    return {"relatives": _relatives, "order": _order}[task](asked, rng)


def _name(request: Request) -> Exercise:
    sides = SIDES[request.hand]
    keys = {key.mode: key for key in (request.key, relative(request.key))}
    blanks = [
        Blank(mode, sides[-1], 0, None, (key.tonic_in(4),), *_tonic(key, request.naming))
        for mode, key in keys.items()
    ]
    things = " and the ".join(f"{mode} key" for mode in request.ask)
    return Exercise(
        request.key,
        request.hand,
        f"Write the {things} of this key signature.",
        wording.heading(request, by="clef"),
        tuple(Staff(side, (Event((), CLEFS[side], "1", "||"),)) for side in sides),
        in_order(blanks, request.ask),
    )


def _tonic(key: Key, naming: Naming) -> tuple[str, tuple[str, ...]]:
    """The key by its tonic only, and other ways to write it."""
    name = naming.note(key.tonic_in(4))
    return name, (naming.key(key), *((_small(name), f"{name}m") if key.minor else ()))


def _small(name: str) -> str:
    """A minor key's letter is often written small."""
    return name[0].lower() + name[1:]


def _write(request: Request) -> Exercise:
    key, naming = request.key, request.naming
    other = parallel(key)
    keys = (key, other or _nearer(key))
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
            wording.signs(one, naming),
            why="" if one.fifths or staff is not staves[0] else "no sharps or flats",
        )
        for staff in staves
        for column, one in enumerate(keys)
        if column >= given
    )
    return Exercise(
        key,
        request.hand,
        "Write the two key signatures.",
        f"{naming.key(key)} and "
        + (f"{naming.parallel} {other.mode}" if other else naming.key(keys[1])),
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
    blanks = give(in_order(asked, request.ask), request.given, rng)
    things = " and ".join(
        words
        for asks, words in (
            ("key", "the keys"),
            ("count", "how many sharps or flats they have (such as 2♯, 3♭, 0)"),
        )
        if asks in request.ask
    )
    return Exercise(
        key,
        "right",
        f"Write {things}.",
        naming.key(key),
        (),
        (*printed, *blanks),
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
        key,
        "right",
        "Write the sharps or flats in their order.",
        label,
        (),
        give(blanks, request.given, rng) if len(blanks) > 1 else blanks,
        figure=Boxes("note", len(notes)),
    )


FAMILY = Family(
    name="key-signatures",
    title="Key signatures",
    kinds=tuple(kind for kinds in _ASKED.values() for kind in kinds),
    settings={
        "task": Setting(
            tuple(_ASKED),
            "name",
            skill=True,
            about="`name` asks for the major and the minor key, `write` for the signature, "
            "`relatives` for key and count, `order` for notes",
        ),
    },
    maker=_make,
    by="clef",
    others=(WORD,),
    no_staff={"task": ("relatives", "order")},
)
