"""The families of exercises: one module each, found by its ``FAMILY``."""

import pkgutil
from importlib import import_module

from workbook.exercises.catalogue import collect

FAMILIES, KINDS = collect(
    import_module(f"{__name__}.{found.name}") for found in pkgutil.iter_modules(__path__)
)
"""The families by the names that templates use, and what they ask for by its name."""
