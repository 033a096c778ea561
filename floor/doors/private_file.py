"""A small file of secrets in the shop's folder, read as often as one likes and written whole.

Never readable for anybody but the shop's own user.
"""

import os
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import Generic, NamedTuple, TypeVar

import msgspec
from filelock import FileLock

T = TypeVar("T")


class PrivateFileError(ValueError):
    """The file cannot be read or written: why, and what to do, in one line."""


class PrivateFile(Generic[T]):
    """JSON of one type, as new as the file: whoever changes it need not restart the floor."""

    def __init__(self, file: Path, of: type[T], empty: T) -> None:
        self._file = file
        self._of = of
        self._empty = empty
        self._seen: tuple[_Version | None, T] | None = None

    def read(self) -> T:
        """What is in it. Raises PrivateFileError."""
        version = self._version()
        if self._seen is None or self._seen[0] != version:
            self._seen = version, self._read()
        return self._seen[1]

    def exists(self) -> bool:
        """Whether anything was ever written."""
        return self._file.exists()

    @contextmanager
    def changing(self) -> Iterator[T]:
        """While it is held nobody else changes the file. Raises PrivateFileError."""
        with self._held():
            yield self.read()

    def _held(self) -> AbstractContextManager[object]:
        try:
            return FileLock(self._file.with_suffix(".lock")).acquire()
        except OSError as error:
            raise PrivateFileError(f"{self._file} cannot be changed: {error.strerror}.") from None

    def write(self, content: T) -> None:
        """The whole of the old or of the new is there at any moment. Raises PrivateFileError."""
        new = self._file.with_suffix(".new")
        text = msgspec.json.format(msgspec.json.encode(content)) + b"\n"
        try:
            new.unlink(missing_ok=True)
            with open(os.open(new, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            new.replace(self._file)
        except OSError as error:
            raise PrivateFileError(f"{self._file} cannot be written: {error.strerror}.") from None

    def _version(self) -> "_Version | None":
        try:
            found = self._file.stat()
        except OSError:
            return None
        return _Version(found.st_ino, found.st_mtime_ns, found.st_size)

    def _read(self) -> T:
        try:
            return msgspec.json.decode(self._file.read_bytes(), type=self._of)
        except FileNotFoundError:
            return self._empty
        except (OSError, msgspec.MsgspecError, UnicodeDecodeError) as error:
            raise PrivateFileError(
                f"{self._file} cannot be read: {error}. Restore it, or remove it and add them anew."
            ) from None


class _Version(NamedTuple):
    inode: int
    changed_ns: int
    size: int
