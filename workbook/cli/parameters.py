"""Parameters that are more than a word: a key, a family, shares, settings.

Each has a function that converts the words, for ``callback=``, and where it helps one
that completes them in the shell, for ``shell_complete=``.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from workbook.inputs.messages import quoted, shortened

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from workbook.exercises.family import Family
    from workbook.music.keys import Key

TONICS = {
    "major": "Cb Gb Db Ab Eb Bb F C G D A E B F# C#",
    "minor": "Ab Eb Bb F C G D A E B F# C# G# D# A#",
}
"""The keys to complete; the module of keys is not loaded for that."""


def family_name(ctx: click.Context, param: click.Parameter, value: str) -> str:
    """The name of a family of exercises; the families are loaded only now."""
    from workbook.exercises.families import FAMILIES

    if value in FAMILIES:
        return value
    from workbook.inputs.suggestions import did_you_mean

    hint = did_you_mean(value, FAMILIES) or f"the families are {', '.join(FAMILIES)}"
    raise click.BadParameter(f"there is no family {quoted(value)}; {hint}", ctx, param)


def complete_family(
    ctx: click.Context,  # noqa: ARG001  (click passes all three)
    param: click.Parameter,  # noqa: ARG001
    incomplete: str,
) -> list[str | CompletionItem]:
    """The families that begin like this."""
    from workbook.exercises.families import FAMILIES

    return [name for name in FAMILIES if name.startswith(incomplete)]


def key_name(ctx: click.Context, param: click.Parameter, value: str) -> Key:
    """A musical key as a teacher writes it."""
    from workbook.music.keys import parse_key

    try:
        return parse_key(value)
    except ValueError as error:
        raise click.BadParameter(str(error), ctx, param) from None


def complete_key(
    ctx: click.Context,  # noqa: ARG001
    param: click.Parameter,  # noqa: ARG001
    incomplete: str,
) -> list[str | CompletionItem]:
    """The keys that begin like this."""
    names = [f"{tonic} {mode}" for mode, tonics in TONICS.items() for tonic in tonics.split()]
    return [name for name in names if name.lower().startswith(incomplete.lower())]


def key_names(
    ctx: click.Context, param: click.Parameter, value: tuple[str, ...]
) -> tuple[Key, ...]:
    """Musical keys, each with or without quotes: E flat major arrives as three words."""
    from workbook.music.keys import parse_keys

    words = ";(?=(?:flat|sharp|major|minor)(?:;|$))"
    try:
        return parse_keys(re.sub(words, " ", ";".join(value), flags=re.IGNORECASE))
    except ValueError as error:
        raise click.BadParameter(str(error), ctx, param) from None


def shares(ctx: click.Context, param: click.Parameter, value: str) -> tuple[int, ...]:
    """Percentages of answers to take out, with commas between them."""
    from workbook.planning.study import SHARES

    known = {str(share): share for share in SHARES}
    words = [part.strip().rstrip("%").strip() for part in value.split(",")]
    for word in words:
        if word not in known:
            told = f"{quoted(word)} is not one of {', '.join(known)}"
            raise click.BadParameter(told, ctx, param)
    return tuple(dict.fromkeys(known[word] for word in words))


def ends_in(*suffixes: str) -> Any:
    """A callback that takes only a file with one of these endings, or no file at all."""

    def check(ctx: click.Context, param: click.Parameter, value: Path | None) -> Path | None:
        if value and value.suffix.lower() not in suffixes:
            told = f"{shortened(str(value))} must end in {' or '.join(suffixes)}"
            raise click.BadParameter(told, ctx, param)
        return value

    return check


def setting(family: Family, choice: str) -> tuple[str, Any]:
    """The name and value in ``NAME=VALUE``. Raises ValueError with a sentence."""
    name, equals, words = choice.partition("=")
    if not equals:
        raise ValueError(f"write {shortened(choice) or 'NAME'}=VALUE")
    allowed = family.settings.get(name)
    if allowed is None:
        known = ", ".join(family.settings) or "none"
        raise ValueError(f"{family.name} has no setting {quoted(name)}; it has: {known}")
    for value in allowed.values:
        if str(value).lower() == words.lower():
            return name, value
    if not allowed.check:
        listed = ", ".join(str(value).lower() for value in allowed.values)
        raise ValueError(f"{name} can be {listed}, not {quoted(words)}")
    try:
        allowed.check(words)
    except ValueError as error:
        raise ValueError(f"{name}: {error}") from None
    return name, words


def named_values(values: Sequence[str], such_as: str) -> dict[str, list[str]]:
    """The values of each name: ``["hands=right", "hands=left"]`` has two of one.

    Raises BadParameter with an example for anything but a name with a value.
    """
    found: dict[str, list[str]] = {}
    for one in values:
        name, equals, value = one.partition("=")
        if not (name and equals):
            raise click.BadParameter(f"{quoted(one)} is not NAME=VALUE; write it like {such_as}")
        found.setdefault(name, []).append(value)
    return found
