"""Where the files of a large build are kept: a folder, or any store that fsspec knows.

In: a path or a URL, names relative to it, bytes. Out: files that are complete or missing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from pathlib import Path, PurePosixPath
from typing import Protocol
from uuid import uuid4

from workbook.builds.obstacles import refuse_names
from workbook.builds.publish import replacing, staging
from workbook.errors import OutputError
from workbook.inputs.files import read_file
from workbook.inputs.messages import reason

_PART = ".part"


class Storage(Protocol):
    """A store of files. ``name`` is a relative path with forward slashes.

    Every method raises OutputError if the store cannot be read or written.
    """

    def find(self, name: str) -> bytes | None:
        """The bytes of a file, or None if it is not there."""

    def write(self, name: str, data: bytes) -> None:
        """Write a file; it is never seen half written."""

    def remove(self, name: str) -> None:
        """Remove a file, if it is there."""

    def remove_parts(self, folder: str) -> None:
        """Remove what killed writers left in ``folder``; "" is the store itself."""

    def names(self) -> list[str]:
        """The names of the files and folders at the top."""

    def together(
        self, read: dict[str, bytes | None], notice: Callable[[str], object]
    ) -> AbstractContextManager[Storage]:
        """A place for files that belong together; at the end they are in the store.

        In a folder they appear all at once (``publish.staging``), in other stores one by one.
        """


def storage(place: Path | str) -> Storage:
    """The store at a path or a URL. Raises OutputError if it cannot be used."""
    if "://" in str(place):
        return _Url(str(place))
    refuse_names(Path(place), ())
    return _Folder(Path(place))


class _Folder:
    def __init__(self, root: Path):
        self._root = root

    def find(self, name: str) -> bytes | None:
        with _folder_told("read", self._root / name):
            try:
                return read_file(self._root / name)
            except FileNotFoundError:
                return None

    def write(self, name: str, data: bytes) -> None:
        file = self._root / name
        with _folder_told("write", file):
            file.parent.mkdir(parents=True, exist_ok=True)
            with replacing(file) as out:
                out.write(data)

    def remove(self, name: str) -> None:
        with _folder_told("remove", self._root / name):
            (self._root / name).unlink(missing_ok=True)

    def remove_parts(self, folder: str) -> None:
        """Does nothing: ``recovery.recover`` does this for folders."""

    def names(self) -> list[str]:
        with _folder_told("read", self._root):
            try:
                return [path.name for path in self._root.iterdir()]
            except FileNotFoundError:
                return []

    @contextmanager
    def together(
        self, read: dict[str, bytes | None], notice: Callable[[str], object]
    ) -> Iterator[Storage]:
        with staging(self._root, read=read, notice=notice) as new:
            yield _Folder(new)


@contextmanager
def _folder_told(verb: str, path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise OutputError(f"cannot {verb} {path}: {reason(error)}") from None


class _Url:
    def __init__(self, url: str):
        try:
            from fsspec.core import url_to_fs
        except ImportError:
            raise OutputError(
                f"cannot write to {url} without fsspec; install it with: "
                "pip install 'workbook[cluster]'"
            ) from None
        try:
            self._files, self._root = url_to_fs(url)
        except (ImportError, ValueError):
            raise OutputError(
                f"cannot write to {url}: this kind of URL is not known here, or its package is "
                "not installed"
            ) from None
        self._url = url

    def _path(self, name: str) -> str:
        return str(PurePosixPath(self._root) / name)

    def find(self, name: str) -> bytes | None:
        with self._told("read", name):
            try:  # without asking whether it is there: stores remember old answers
                return bytes(self._files.cat_file(self._path(name)))
            except FileNotFoundError:
                return None

    def write(self, name: str, data: bytes) -> None:
        path = self._path(name)
        # of each writer its own: a batch may run twice, where a worker was only thought lost
        part = f"{path}.{uuid4().hex}{_PART}"
        with self._told("write", name):
            self._files.makedirs(str(PurePosixPath(path).parent), exist_ok=True)
            self._files.pipe_file(part, data)
            self._files.mv(part, path)

    def remove(self, name: str) -> None:
        with self._told("remove", name), suppress(FileNotFoundError):
            self._files.rm_file(self._path(name))

    def remove_parts(self, folder: str) -> None:
        for name in self._names(folder):
            if name.endswith(_PART):
                self.remove(f"{folder}/{name}" if folder else name)

    def names(self) -> list[str]:
        return self._names("")

    def _names(self, folder: str) -> list[str]:
        with self._told("read", folder):
            self._files.invalidate_cache()
            try:
                found = self._files.ls(self._path(folder), detail=False)
            except FileNotFoundError:
                return []
            return [PurePosixPath(str(path)).name for path in found]

    @contextmanager
    def together(
        self,
        read: dict[str, bytes | None],  # noqa: ARG002
        notice: Callable[[str], object],  # noqa: ARG002
    ) -> Iterator[Storage]:
        yield self

    @contextmanager
    def _told(self, verb: str, name: str) -> Iterator[None]:
        try:
            yield
        except Exception as error:  # each kind of store has errors of its own
            why = reason(error) if isinstance(error, OSError) else "the store refuses it"
            where = f"{name} in {self._url}" if name else self._url
            raise OutputError(f"cannot {verb} {where}: {why}") from error
