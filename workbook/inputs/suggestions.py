"""Suggestions: what somebody who wrote an unknown word probably meant.

In: a word and the words that are known. Out: the likely ones, or ``did you mean "…"?``.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterable
from functools import lru_cache

from workbook.inputs.messages import any_of, fold, quoted

MOST_SUGGESTED = 5
_COMPARED = 60
"""Characters of the word that are compared: a page pasted by mistake would take minutes."""
_ALIKE, _WORD_ALIKE, _NEARLY_EQUAL = 0.6, 0.8, 0.9
"""Likeness, as difflib measures it: of a name, of one word in it, and of a mere slip."""
_MOST_COMPARED = 5_000
"""Options that are compared letter by letter: more would take seconds for each word."""
_WORD = re.compile(r"\w+")
_JOINED = re.compile(r"[\s_-]+")
_LEADING_ZEROS = re.compile(r"(?<!\d)0+(?=\d)")


def did_you_mean(word: str, options: Iterable[object]) -> str:
    """``did you mean "count"?`` with each of ``closest``, or "" if there is none."""
    found = closest(word, (option for option in options if isinstance(option, str)))
    return f"did you mean {any_of([quoted(option) for option in found])}?" if found else ""


def closest(word: str, options: Iterable[str]) -> list[str]:
    """The options that ``word`` probably stands for, at most MOST_SUGGESTED; often one or none.

    Case, accents and Unicode form do not count. What matches is, in this order: the
    whole option; one with the same number ("level 1" is level-01); one that differs by a
    slip; options that contain every word of it (a
    first name finds the full one); the option most like it; options with a word like it.
    """
    names: dict[str, list[str]] = defaultdict(list)
    for option in dict.fromkeys(options):
        names[bare(option)].append(option)
    wanted = bare(word[:_COMPARED])
    words = set(_WORD.findall(wanted))
    if wanted in names or not words:
        return names.get(wanted, [])[:MOST_SUGGESTED]
    if numbered := _with_same_number(wanted, names):
        return names[numbered][:MOST_SUGGESTED]
    few = len(names) <= _MOST_COMPARED
    if few and (slip := difflib.get_close_matches(wanted, list(names), n=1, cutoff=_NEARLY_EQUAL)):
        return names[slip[0]][:MOST_SUGGESTED]
    holding = [name for name in names if words <= set(_WORD.findall(name))]
    if holding and sum(len(names[name]) for name in holding) <= MOST_SUGGESTED:
        return [option for name in holding for option in names[name]]
    if not few:
        return []
    alike = difflib.get_close_matches(wanted, list(names), n=1, cutoff=_ALIKE)
    return (names[alike[0]] if alike else _by_word(wanted, names))[:MOST_SUGGESTED]


def _with_same_number(wanted: str, names: Iterable[str]) -> str:
    """The first name that is ``wanted`` but for the zeros before a number, hyphens and spaces."""
    if not any(letter.isdigit() for letter in wanted):
        return ""
    plain = _plain_number(wanted)
    return next((name for name in names if _plain_option(name) == plain), "")


def _plain_number(name: str) -> str:
    return _LEADING_ZEROS.sub("", _JOINED.sub("", name))


_plain_option = lru_cache(maxsize=1024)(_plain_number)  # the same options come for every word


def _by_word(wanted: str, names: dict[str, list[str]]) -> list[str]:
    """The options that contain the word most like ``wanted``, unless there are too many."""
    by_word: dict[str, list[str]] = defaultdict(list)
    for name, options in names.items():
        for word in dict.fromkeys(_WORD.findall(name)):
            by_word[word] += options
    alike = difflib.get_close_matches(wanted, list(by_word), n=1, cutoff=_WORD_ALIKE)
    found = by_word[alike[0]] if alike else []
    return found if len(found) <= MOST_SUGGESTED else []


def bare(text: str) -> str:
    """``text`` without case, accents and extra white space: for comparing, not for printing."""
    letters = unicodedata.normalize("NFKD", text.casefold())
    return fold("".join(c for c in letters if unicodedata.category(c) != "Mn"))
