"""A scale as it is practised: up and down from the tonic, or down and up again."""

from __future__ import annotations

from dataclasses import replace

from workbook.exercises.model import Request
from workbook.exercises.registers import Columns
from workbook.exercises.settings import SCALE_FORM
from workbook.music import scales

FORMS = replace(SCALE_FORM, default="natural")
"""The setting for the form of a scale that is played."""


def run(request: Request, form: str, octaves: int, at: int, start: int = 1) -> Columns:
    """The scale up and down from degree ``start`` above the tonic of octave ``at``.

    Coming down, the top note keeps the form in which it was reached.
    """
    part = slice(start - 1, start + 7 * octaves)
    up = scales.ascending(request.key, form, at, octaves + 1)[part]
    down = scales.descending(request.key, form, at, octaves + 1)[::-1][part]
    return [(p,) for p in up + down[-2::-1]]


def run_down(request: Request, form: str, octaves: int, at: int) -> Columns:
    """The scale from its top down to the tonic of octave ``at`` and up again.

    The lowest note belongs to the way down.
    """
    down = scales.descending(request.key, form, at, octaves)
    return [(p,) for p in down + scales.ascending(request.key, form, at, octaves)[1:]]
