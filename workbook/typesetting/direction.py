"""Right-to-left text in the order in which it is drawn.

In: one line of text as it is read aloud. Out: the same line from left to
right on the page, with Arabic letters in their joined forms. A small part of
the Unicode bidirectional algorithm (UAX 9): no embeddings, no isolates.
"""

from __future__ import annotations

import unicodedata
from functools import lru_cache

_RIGHT = {"R", "AL"}
_NUMBER = {"EN", "AN"}
_MIRROR = str.maketrans("()[]{}<>«»‹›", ")(][}{><»«›‹")
_JOINER, _NON_JOINER = "\u200d", "\u200c"
_TATWEEL = "\u0640"


def clusters(text: str) -> list[str]:
    """``text`` cut so that accents and vowel signs stay with their letter.

    >>> clusters("e\\u0301a")
    ['é', 'a']
    """
    parts: list[str] = []
    for char in text:
        if parts and (unicodedata.category(char).startswith("M") or char in (_JOINER, _NON_JOINER)):
            parts[-1] += char
        else:
            parts.append(char)
    return parts


def is_right_to_left(text: str) -> bool:
    """Whether the first letter with a direction runs from right to left."""
    for char in text:
        kind = unicodedata.bidirectional(char)
        if kind in _RIGHT or kind == "L":
            return kind != "L"
    return False


def visual(text: str) -> str:
    """``text`` as it stands on the page; text without right-to-left letters is unchanged."""
    if not any(unicodedata.bidirectional(char) in _RIGHT for char in text):
        return text
    parts = clusters(_join(text))
    levels = _levels(parts, 1 if is_right_to_left(text) else 0)
    parts = [part.translate(_MIRROR) if level % 2 else part for part, level in zip(parts, levels)]
    order = list(range(len(parts)))
    # UAX 9, rule L2: from the deepest level up, turn every stretch at that level round.
    for depth in range(max(levels), 0, -1):
        start = 0
        while start < len(order):
            end = start
            while end < len(order) and levels[order[end]] >= depth:
                end += 1
            order[start:end] = reversed(order[start:end])
            start = max(end, start + 1)
    return "".join(parts[place] for place in order)


def _levels(parts: list[str], base: int) -> list[int]:
    """One embedding level per cluster; odd levels run from right to left."""
    line = "R" if base else "L"
    depth = {"L": 2 * base, "R": 1}
    levels: list[int | None] = []
    sides: list[str | None] = []  # the direction that a neighbour sees
    strong = line
    for part in parts:
        kind = unicodedata.bidirectional(part[0])
        if kind == "L" or kind in _RIGHT:
            strong = "L" if kind == "L" else "R"
            levels.append(depth[strong])
            sides.append(strong)
        elif kind in _NUMBER:
            # Digits run left to right even amid right-to-left text.
            levels.append(2 if strong == "R" else depth["L"])
            sides.append(strong)
        else:
            levels.append(None)
            sides.append(None)
    # Spaces and points take the direction that both neighbours share, else the line's.
    for place, level in enumerate(levels):
        if level is None:
            before = sides[place - 1] if place else line
            after = next((side for side in sides[place:] if side), line)
            sides[place] = before if before == after else line
            levels[place] = depth[sides[place]]
    return levels


@lru_cache(maxsize=1)
def _forms() -> dict[str, dict[str, str]]:
    """Arabic letter → its drawn forms by name, read from the compatibility characters."""
    forms: dict[str, dict[str, str]] = {}
    for code in (*range(0xFB50, 0xFBFF), *range(0xFE80, 0xFEFD)):
        form, _, letters = unicodedata.decomposition(chr(code)).partition(" ")
        if form and " " not in letters and letters:
            forms.setdefault(chr(int(letters, 16)), {})[form.strip("<>")] = chr(code)
    # Lam with an alef after it is one sign.
    for code in range(0xFEF5, 0xFEFD):
        form, *letters = unicodedata.decomposition(chr(code)).split()
        pair = "".join(chr(int(letter, 16)) for letter in letters)
        forms.setdefault(pair, {})[form.strip("<>")] = chr(code)
    return forms


def _join(text: str) -> str:
    """Arabic letters replaced by their isolated, initial, medial and final forms."""
    forms = _forms()
    parts: list[str] = []
    for part in clusters(text):
        if parts and parts[-1] + part[0] in forms:
            parts[-1] += part[0]
            parts.extend([part[1:]] if part[1:] else [])
        else:
            parts.append(part)

    def letter(part: str) -> str:
        return part if part in forms else part[:1]

    def reaches(part: str) -> bool:
        """Whether this letter holds out a stroke to the one after it."""
        return _NON_JOINER not in part and (
            letter(part) == _TATWEEL or _JOINER in part or "initial" in forms.get(letter(part), {})
        )

    def takes(part: str) -> bool:
        return letter(part) == _TATWEEL or "final" in forms.get(letter(part), {})

    out = []
    for place, part in enumerate(parts):
        shapes = forms.get(letter(part), {})
        before = place > 0 and reaches(parts[place - 1]) and "final" in shapes
        after = place + 1 < len(parts) and reaches(part) and takes(parts[place + 1])
        name = ("medial" if before else "initial") if after else ("final" if before else "isolated")
        out.append(shapes.get(name, letter(part)) + part[len(letter(part)) :])
    return "".join(out)
