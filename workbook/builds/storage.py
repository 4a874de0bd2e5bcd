"""Where the files of a large build are kept: a folder, or any store that fsspec knows.

In: a path or a URL, names relative to it, bytes. Out: files that are whole or not there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path, PurePosixPath
from typing import Protocol

from workbook.builds.publish import replacing, staging
from workbook.errors import WorkbookError

_PART = ".part"


class Storage(Protocol):
    """A store of files. ``name`` is a relative path with forward slashes."""

    def exists(self, name: str) -> bool:
        """Whether there is such a file."""

    def read(self, name: str) -> bytes:
        """The bytes of a file."""

    def write(self, name: str, data: bytes) -> None:
        """Write a file; nobody sees half of it."""

    def remove(self, name: str) -> None:
        """Remove a file."""

    def put(self, name: str, file: Path) -> None:
        """Copy a local file into the store."""

    def together(
        self, read: dict[str, bytes | None], notice: Callable[[str], object]
    ) -> AbstractContextManager[Storage]:
        """A place for files that belong together; at the end they are in the store.

        In a folder they come all or none (``publish.staging``), on other stores one by one.
        """


def storage(place: Path | str) -> Storage:
    """The store at a path or a URL. Raises WorkbookError if a URL needs a library."""
    return _Url(str(place)) if "://" in str(place) else _Folder(Path(place))


class _Folder:
    def __init__(self, root: Path):
        self._root = root

    def exists(self, name: str) -> bool:
        return (self._root / name).is_file()

    def read(self, name: str) -> bytes:
        return (self._root / name).read_bytes()

    def write(self, name: str, data: bytes) -> None:
        file = self._root / name
        file.parent.mkdir(parents=True, exist_ok=True)
        with replacing(file) as out:
            out.write(data)

    def remove(self, name: str) -> None:
        (self._root / name).unlink(missing_ok=True)

    def put(self, name: str, file: Path) -> None:
        self.write(name, file.read_bytes())

    @contextmanager
    def together(
        self, read: dict[str, bytes | None], notice: Callable[[str], object]
    ) -> Iterator[Storage]:
        with staging(self._root, read=read, notice=notice) as new:
            yield _Folder(new)


class _Url:
    def __init__(self, url: str):
        try:
            from fsspec.core import url_to_fs
        except ImportError:
            raise WorkbookError(
                f"Writing to {url} needs fsspec; install it with: pip install 'workbook[cluster]'"
            ) from None
        try:
            self._files, self._root = url_to_fs(url)
        except (ImportError, ValueError):
            raise WorkbookError(
                f"Cannot write to {url}: this kind of URL is not known here, or its package is "
                "not installed"
            ) from None

    def _path(self, name: str) -> str:
        return str(PurePosixPath(self._root) / name)

    def exists(self, name: str) -> bool:
        return bool(self._files.isfile(self._path(name)))

    def read(self, name: str) -> bytes:
        return bytes(self._files.cat_file(self._path(name)))

    def write(self, name: str, data: bytes) -> None:
        path = self._path(name)
        self._files.makedirs(str(PurePosixPath(path).parent), exist_ok=True)
        self._files.pipe_file(path + _PART, data)
        self._files.mv(path + _PART, path)

    def remove(self, name: str) -> None:
        self._files.rm(self._path(name))

    def put(self, name: str, file: Path) -> None:
        self.write(name, file.read_bytes())

    @contextmanager
    def together(
        self,
        read: dict[str, bytes | None],  # noqa: ARG002
        notice: Callable[[str], object],  # noqa: ARG002
    ) -> Iterator[Storage]:
        yield self
