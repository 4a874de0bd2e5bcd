"""Where the built-in templates are, in a checkout and in an installed wheel alike."""

from __future__ import annotations

from pathlib import Path


def shipped() -> Path:
    """The folder that holds ``workbooks``, ``fingering`` and ``demo``."""
    package = Path(__file__).parent
    inside = package / "templates"
    return inside if inside.is_dir() else package.parent / "templates"
