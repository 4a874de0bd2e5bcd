"""A scale as it is practised: up and down from the tonic."""

from __future__ import annotations

from dataclasses import replace

from workbook.exercises.model import Request
from workbook.exercises.registers import Columns
from workbook.exercises.settings import SCALE_FORM
from workbook.music import scales

FORMS = replace(SCALE_FORM, default="natural")
"""The setting for the form of a scale that is played."""


def run(request: Request, form: str, octaves: int, at: int) -> Columns:
    """The scale up and down from the tonic of octave ``at``."""
    up = scales.ascending(request.key, form, at, octaves)
    return [(p,) for p in up + scales.descending(request.key, form, at, octaves)[1:]]
