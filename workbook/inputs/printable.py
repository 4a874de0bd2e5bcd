"""Characters that no font has, reported where the teacher typed them.

In: a text, and a function that finds such characters (fonts belong to another room). Out: a
sentence, or "".
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from collections.abc import Set as AbstractSet

Unprintable = Callable[[str], AbstractSet[str]]
"""The characters of a text that cannot be printed."""
FONTS = "install a font that has them (fonts.md says which), or write it in other letters"
"""What to do about them."""


def nothing(text: str) -> AbstractSet[str]:  # noqa: ARG001
    """Treats every character as printable: for reading without fonts."""
    return frozenset()


def without_font(name: str, text: str, unprintable: Unprintable) -> str:
    """What is wrong with the text called ``name``, or "". Controls are reported elsewhere."""
    missing = sorted(c for c in unprintable(text) if unicodedata.category(c) != "Cc")
    shown = (c if c.isprintable() else f"U+{ord(c):04X}" for c in missing[:20])
    listed = " ".join(shown) + (" …" if len(missing) > 20 else "")
    return f"no font on this computer has these characters of the {name}: {listed}" * bool(missing)
