"""abjad, imported without the folder that it makes in the user's home.

In: nothing. Out: the module ``abjad``. Its module ``configuration`` makes ``.abjad`` in the home
folder while it is imported. Only that module is given another, temporary home, which is removed
after the import; the environment of the process does not change.
"""

from __future__ import annotations

import builtins
import importlib
import os
import sys
import tempfile
from collections.abc import Sequence
from importlib.machinery import ModuleSpec, PathFinder, SourceFileLoader
from types import ModuleType

__all__ = ["abjad"]

_MODULE = "abjad.configuration"


class _Finder:
    """Finds the one module, with a loader that moves its home."""

    def __init__(self, home: str) -> None:
        self._home = home

    def find_spec(
        self,
        name: str,
        path: Sequence[str] | None = None,
        target: ModuleType | None = None,
    ) -> ModuleSpec | None:
        spec = PathFinder.find_spec(name, path, target) if name == _MODULE else None
        if spec and isinstance(spec.loader, SourceFileLoader):
            spec.loader = _Loader(spec.loader.name, spec.loader.path, self._home)
            return spec
        return None


class _Loader(SourceFileLoader):
    def __init__(self, name: str, path: str, home: str) -> None:
        super().__init__(name, path)
        self._os = _System(home)

    def exec_module(self, module: ModuleType) -> None:
        def import_(name: str, *rest: object, **others: object) -> object:
            return self._os if name == "os" else plain(name, *rest, **others)  # type: ignore[arg-type]

        plain = builtins.__import__
        module.__dict__["__builtins__"] = {**vars(builtins), "__import__": import_}
        super().exec_module(module)


class _System(ModuleType):
    """The module ``os`` with another home."""

    def __init__(self, home: str) -> None:
        super().__init__("os")
        self.environ = {**os.environ, "HOME": home}

    def __getattr__(self, name: str) -> object:
        return getattr(os, name)


def _import() -> None:
    if "abjad" in sys.modules:
        return
    with tempfile.TemporaryDirectory(prefix="workbook-", ignore_cleanup_errors=True) as home:
        finder = _Finder(home)
        sys.meta_path.insert(0, finder)
        try:
            importlib.import_module("abjad")
        finally:
            sys.meta_path.remove(finder)


_import()

import abjad  # noqa: E402
