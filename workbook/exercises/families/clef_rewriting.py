"""Clef rewriting: notes around middle C, written at the same pitch under the other clef.

One staff is printed, and the notes are written on the other.
"""

from __future__ import annotations

from random import Random

from workbook.exercises import wording
from workbook.exercises.answers import NOTES
from workbook.exercises.blanks import note_blanks
from workbook.exercises.family import Family
from workbook.exercises.model import SIDES, Exercise, Request, Staff
from workbook.exercises.registers import Columns
from workbook.exercises.settings import Setting
from workbook.exercises.spellings import key_notes
from workbook.exercises.staves import bar_lines, printed_staves, written_staves
from workbook.music.pitch import Pitch
from workbook.music.register import CLEF_SIDES, ledger_lines

COUNT = 6
_LINES = 2
"""Ledger lines that a note may need under either clef: from A3 to E4."""
_OTHER = {"treble": "bass", "bass": "treble"}


def _make(request: Request, rng: Random) -> Exercise:
    printed = request.settings["from"]
    sides = {clef: CLEF_SIDES[clef] for clef in _OTHER}
    columns = _columns(request, rng)
    bars = bar_lines(COUNT)
    given = rng.sample(range(COUNT), min(request.given, COUNT - 1))
    staves: dict[str, Staff] = {}
    (shown,) = printed_staves({sides[printed]: columns}, "1", bars)
    (written,) = written_staves({sides[_OTHER[printed]]: columns}, bars, given)
    staves |= {shown.hand: shown, written.hand: written}
    both = tuple(staves[side] for side in SIDES["both"])
    return Exercise(
        request.key,
        "both",
        f"Write each note at the same pitch in the {_OTHER[printed]} clef, in "
        f"{request.naming.whole_notes}.",
        wording.label(request, f"from {printed} clef to {_OTHER[printed]}", by=""),
        both,
        note_blanks(both, request.naming),
    )


def _columns(request: Request, rng: Random) -> Columns:
    """Notes of the key that both clefs have near their staves, each before any comes again."""
    near: list[Pitch] = [
        p
        for octave in (2, 3, 4)
        for p in key_notes(request.key, octave)
        if all(ledger_lines(p, side) <= _LINES for side in CLEF_SIDES.values())
    ]
    found: list[Pitch] = []
    while len(found) < COUNT:
        more = rng.sample(near, len(near))
        if not found or more[0] != found[-1]:
            found += more
    return [(p,) for p in found[:COUNT]]


FAMILY = Family(
    name="clef-rewriting",
    title="Notes in the other clef",
    kinds=(NOTES,),
    settings={
        "from": Setting(("treble", "bass"), "treble", skill=True, about="the clef that is printed")
    },
    maker=_make,
    by="",
)
