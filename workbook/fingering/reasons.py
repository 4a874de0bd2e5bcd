"""The places of a run where a student usually errs, in a few words each.

In: notes, fingers, a hand. Out: where the thumb passes under, where a finger
passes over, where the fourth finger plays.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from workbook.music.pitch import Pitch, note_name, semitone


def crossings(notes: Sequence[Pitch], fingers: Sequence[str], hand: str) -> tuple[str, ...]:
    """For each note the finger that crosses to reach it, or "".

    ``"1"`` says that the thumb passes under, any other that the finger passes over it.
    """
    keys = [semitone(note) for note in notes]
    found = [""]
    for before, here, old, new in zip(keys, keys[1:], fingers, fingers[1:]):
        thumb, other = (here, before) if new == "1" else (before, here)
        crossed = (thumb > other) if hand == "right" else (thumb < other)
        found.append(new if crossed and "1" in (old, new) and old != new else "")
    return tuple(found)


def why(
    notes: Sequence[Pitch],
    fingers: Sequence[str],
    hand: str,
    name: Callable[[Pitch], str] = note_name,
) -> list[tuple[int, str]]:
    """Places and words, in the order of the notes: ``(3, "thumb under after 3")``.

    A fourth finger is told where the run has few: ``"4 on B♭"``, not at its ends.
    """
    crossed = crossings(notes, fingers, hand)
    found = []
    for index, (note, finger) in enumerate(zip(notes, fingers)):
        if crossed[index] == "1":
            found.append((index, f"thumb under after {fingers[index - 1]}"))
        elif crossed[index]:
            found.append((index, f"{finger} over"))
        elif finger == "4" and 0 < index < len(notes) - 1:
            found.append((index, f"4 on {name(note)}"))
    return found


def chief(places: Iterable[tuple[int, str]], most: int) -> list[tuple[int, str]]:
    """At most ``most`` of the places: the fourth finger's, the first pass under, the first
    pass over, then others that are told in other words.
    """

    def kind(place: tuple[int, str]) -> int:
        return ("on", "under", "over").index(place[1].split()[1])

    by_words: dict[str, tuple[int, str]] = {}
    for place in places:
        by_words.setdefault(place[1], place)
    firsts: dict[int, tuple[int, str]] = {}
    for place in by_words.values():
        firsts.setdefault(kind(place), place)
    rest = [place for place in by_words.values() if place not in firsts.values()]
    return sorted([*(firsts[one] for one in sorted(firsts)), *rest][:most])
