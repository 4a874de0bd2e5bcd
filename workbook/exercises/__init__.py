"""What is asked: one module per family, one list of them all.

In: a ``Request`` and a seeded random source. Out: an ``Exercise``, pure data.
"""

from workbook.exercises import (arpeggio, intervals, inversions, primary_chords, progression,
                                scale_fingering)
from workbook.exercises.model import Blank, Event, Exercise, Family, Request, Staff

FAMILIES: dict[str, Family] = {
    module.FAMILY.name: module.FAMILY
    for module in (scale_fingering, primary_chords, inversions, progression, arpeggio, intervals)}

__all__ = ["FAMILIES", "Blank", "Event", "Exercise", "Family", "Request", "Staff"]
