"""The families of exercises: one module each, found by its ``FAMILY``."""

import pkgutil
from importlib import import_module

from workbook.exercises.model import Family

_modules = [import_module(f"{__name__}.{found.name}") for found in pkgutil.iter_modules(__path__)]
FAMILIES: dict[str, Family] = {module.FAMILY.name: module.FAMILY for module in _modules}
"""The families by the names that templates use."""
