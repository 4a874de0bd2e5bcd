"""Fingers: what published tables say of them, and the laws where no table says anything.

The opinion on a finger is "published" (it is a published one), "accepted" (the published
finger is among those that the answer key accepts) or NONE (no table has it). A published
finger that is neither is an AssertionError, and so is a breach of a law.

Laws: 1 to 5; no finger on two neighbouring notes of a run; in a run fingers follow the
keys, but for the thumb that passes under or is passed over; in a chord they follow the
keys. Common practice, no source.
"""

import itertools
from collections import Counter

import reading
from reading import notes, theirs

NONE = "no outside opinion"


def stretches(items: list, numbers: list[float]) -> list[tuple[bool, list]]:
    """``items`` cut where the ``numbers`` turn, each stretch with whether it rises; the
    item at a turn is in both. Each stretch is given from its lowest number up."""
    found, start = [], 0
    for here in range(1, len(numbers)):
        last = here == len(numbers) - 1
        if last or (numbers[here + 1] > numbers[here]) != (numbers[here] > numbers[here - 1]):
            rises = numbers[here] > numbers[here - 1]
            found.append((rises, items[start : here + 1][:: 1 if rises else -1]))
            start = here
    return found


def run(exercise, staff):
    """The stretches of a staff of single notes, as pairs of note and finger blank."""
    found = notes(staff)
    blanks = reading.answers(exercise, "finger", staff.hand)
    assert [b.column for b in blanks] == list(range(len(found)))
    assert [(theirs(p),) for b in blanks for p in b.of] == [(p,) for p in found]
    return stretches(list(zip(found, blanks)), [p.ps for p in found])


def run_names(stretch) -> list[str]:
    return [p.name for p, _ in stretch]


def printed(*some) -> dict[float, str]:
    """The fingers that stand in boxes of stretches as help, by the pitch they are on."""
    return {p.ps: blank.answer for stretch in some for p, blank in stretch if blank.given}


def fitting(versions: list[str], pitches: list[float], help_: dict[float, str]) -> list[str]:
    """The published fingerings of these pitches that go with the printed help: another one
    is no answer to the exercise."""
    return [
        version
        for version in versions
        if all(digit in (help_.get(ps, digit), "?") for digit, ps in zip(version, pitches))
    ]


def opinions(stretch, versions: list[str], hand: str, help_: dict[float, str]) -> dict:
    """The opinion on each finger of a stretch, low to high, by published digits and laws."""
    blanks = [blank for _, blank in stretch]
    for whole in wholes(blanks):
        meet_laws(list(whole), hand)
    found = {}
    versions = fitting(versions, [p.ps for p, _ in stretch], help_)
    for place, blank in enumerate(blanks):
        theirs_here = {version[place] for version in versions} - {"?"}
        accepted = {blank.answer, *blank.also}
        assert accepted <= set("12345") and len(accepted) == len(blank.also) + 1
        assert theirs_here <= accepted, (blank, versions)
        found[blank] = opinion(blank, theirs_here)
    return found


def wholes(blanks) -> list[tuple[str, ...]]:
    """Each accepted whole fingering of neighbouring notes, the answers first; all accepted
    fingers are of one."""
    found = list(zip(*(b.versions for b in blanks), strict=True))
    assert found[0] == tuple(b.answer for b in blanks)
    assert all({*b.versions} == {b.answer, *b.also} for b in blanks)
    return found


def opinion(blank, said: set[str]) -> str:
    return NONE if not said else "published" if blank.answer in said else "accepted"


def meet_laws(digits: list[str], hand: str) -> None:
    """The laws of a run, low to high."""
    assert set(digits) <= set("12345")
    for low, high in zip(*(digits[i:] if hand == "right" else digits[::-1][i:] for i in (0, 1))):
        assert low != high and (low < high or high == "1"), digits


def follow_keys(digits: list[str], hand: str) -> None:
    """The laws of a chord, low to high."""
    assert set(digits) <= set("12345") and len(set(digits)) == len(digits)
    assert digits == sorted(digits, reverse=hand == "left"), digits


def crossings(digits: str, hand: str, rises: bool) -> list[str]:
    """What crosses to reach each note, low to high, of a stretch played up or down.

    The thumb passes under in the right hand going up and in the left going down; the
    other way a finger passes over it.
    """
    played = digits if rises else digits[::-1]
    marks = ["–"]
    for old, new in itertools.pairwise(played):
        under = rises == (hand == "right")
        marks.append(new if (new == "1" if under else old == "1") and old != new else "–")
    return marks if rises else marks[::-1]


def chord_fingers(exercise) -> Counter:
    """The fingers of block chords, for which no table here has an entry: the laws."""
    counted = Counter()
    for staff in exercise.staves:
        for column, event in enumerate(staff.events):
            blanks = [
                b for b in reading.answers(exercise, "finger", staff.hand) if b.column == column
            ]
            if not blanks:
                continue
            assert [p for b in blanks for p in b.of] == list(event.pitches)
            for whole in wholes(blanks):
                follow_keys(list(whole), staff.hand)
            counted[NONE] += len(blanks)
    return counted
