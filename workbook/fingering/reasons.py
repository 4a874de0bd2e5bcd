"""The notes of a run at which students usually err, with a few words on each.

In: notes, fingers, a hand. Out: where the thumb passes under, where a finger passes over,
where the fourth finger plays.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise

from workbook.music.pitch import Pitch, note_name, semitone

Reason = tuple[int, str]
"""The index of a note, and a few words on its finger."""


def crossings(notes: Sequence[Pitch], fingers: Sequence[str], hand: str) -> tuple[str, ...]:
    """For each note the finger that crosses to reach it, or "".

    ``"1"`` means that the thumb passes under, any other that this finger passes over it.
    """
    keys = [semitone(note) for note in notes]
    found = [""]
    for (before, here), (old, new) in zip(pairwise(keys), pairwise(fingers)):
        thumb, other = (here, before) if new == "1" else (before, here)
        crossed = (thumb > other) if hand == "right" else (thumb < other)
        found.append(new if crossed and "1" in (old, new) and old != new else "")
    return tuple(found)


def reasons(
    notes: Sequence[Pitch],
    fingers: Sequence[str],
    hand: str,
    name: Callable[[Pitch], str] = note_name,
) -> list[Reason]:
    """The reasons of a run, in the order of its notes: ``(3, "thumb under after 3")``.

    A fourth finger is one, except on the first and last note: ``"4 on B♭"``.
    """
    crossed = crossings(notes, fingers, hand)
    found: list[Reason] = []
    for index, (note, finger) in enumerate(zip(notes, fingers)):
        if crossed[index] == "1":
            found.append((index, f"thumb under after {fingers[index - 1]}"))
        elif crossed[index]:
            found.append((index, f"{finger} over"))
        elif finger == "4" and 0 < index < len(notes) - 1:
            found.append((index, f"4 on {name(note)}"))
    return found


def chief(found: Iterable[Reason], most: int) -> list[Reason]:
    """At most ``most`` of the reasons ``found``, in the order of the notes: one about the
    fourth finger, the first pass under, the first pass over, then others in other words.
    """

    def kind(reason: Reason) -> int:
        return ("on", "under", "over").index(reason[1].split()[1])

    by_words: dict[str, Reason] = {}
    for reason in found:
        by_words.setdefault(reason[1], reason)
    firsts: dict[int, Reason] = {}
    for reason in by_words.values():
        firsts.setdefault(kind(reason), reason)
    rest = [reason for reason in by_words.values() if reason not in firsts.values()]
    return sorted([*(firsts[one] for one in sorted(firsts)), *rest][:most])
