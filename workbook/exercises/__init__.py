"""What is asked: one module per family, found by its ``FAMILY``.

In: a ``Request`` and a seeded random source. Out: an ``Exercise``, pure data.
"""

import pkgutil
from importlib import import_module

from workbook.exercises.model import Blank, Event, Exercise, Family, Request, Staff

_modules = [import_module(f"{__name__}.{found.name}") for found in pkgutil.iter_modules(__path__)]
FAMILIES: dict[str, Family] = {
    module.FAMILY.name: module.FAMILY for module in _modules if hasattr(module, "FAMILY")}

__all__ = ["FAMILIES", "Blank", "Event", "Exercise", "Family", "Request", "Staff"]
