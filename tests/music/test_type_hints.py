"""Every type hint of a public function or method can be looked up at run time."""

import functools
import importlib
import inspect
import pkgutil
import typing

import pytest

ROOMS = ("music", "fingering", "engraving", "exercises")


def modules():
    names = ["workbook.cancel"]
    for room in ROOMS:
        package = importlib.import_module(f"workbook.{room}")
        names += [
            found.name for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
        ]
    return names


def hinted(module):
    """The public classes, functions and methods that a module defines."""
    for name, value in vars(module).items():
        if name.startswith("_") or getattr(value, "__module__", "") != module.__name__:
            continue
        if inspect.isclass(value):
            yield name, value
            for member, method in map(plain, vars(value).items()):
                public = not member.startswith("_") or member == "__init__"
                if public and inspect.isfunction(method) and not typing_only(value):
                    yield f"{name}.{member}", method
        elif callable(value) and hasattr(value, "__annotations__"):
            yield name, value


def typing_only(kind):
    return getattr(kind, "_is_protocol", False)


def plain(member):
    """A member of a class with the function under its decorator."""
    name, value = member
    for kind, attribute in (
        (property, "fget"),
        (functools.cached_property, "func"),
        ((staticmethod, classmethod), "__func__"),
    ):
        if isinstance(value, kind):
            return name, getattr(value, attribute)
    return name, value


@pytest.mark.parametrize("name", modules())
def test_hints_are_found(name):
    module = importlib.import_module(name)
    typing.get_type_hints(module)
    for which, value in hinted(module):
        if inspect.isfunction(inspect.unwrap(value)):
            hints = typing.get_type_hints(inspect.unwrap(value))
            wanted = set(inspect.signature(value).parameters) - {"self", "cls"}
            assert wanted <= set(hints), f"{which} has parameters without a hint"
        else:
            typing.get_type_hints(value)
