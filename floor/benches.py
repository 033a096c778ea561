"""The remote benches of a shop, and the tokens by which they are known.

Never stores a token: only what it hashes to.
"""

import hashlib
import hmac
import os
import secrets
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

import msgspec
from filelock import FileLock
from msgspec import Struct

FILE_NAME = "benches.json"
NAME_MAX = 60


class Bench(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A bench that may send scans, and may do nothing else."""

    name: str
    token_sha256: str
    """A plain hash is enough: nobody guesses 256 random bits."""
    added_at: datetime


class BenchError(ValueError):
    """What is wrong with a bench or with their file, and what to do, in one line."""


class Benches:
    """The benches in a shop's folder, as new as their file: `bench add` needs no restart of the floor."""

    def __init__(self, folder: Path) -> None:
        self._file = folder / FILE_NAME
        self._seen: _Seen | None = None

    def all(self) -> Sequence[Bench]:
        """Every bench, in the order in which they were added. Raises BenchError."""
        version = self._version()
        if self._seen is None or self._seen.version != version:
            self._seen = _Seen(version, self._read())
        return self._seen.benches

    def add(self, name: str, now: datetime) -> str:
        """A new bench; its token, which cannot be shown again. Raises BenchError."""
        if not name.strip() or not name.isprintable() or len(name) > NAME_MAX:
            raise BenchError(f"{name!r} is no name for a bench. Write 1 to {NAME_MAX} plain characters.")
        with FileLock(self._file.with_suffix(".lock")):
            benches = self.all()
            if any(bench.name == name for bench in benches):
                raise BenchError(f"There is a bench {name!r} already. Revoke it first, or choose another name.")
            token = secrets.token_urlsafe(32)
            self._write([*benches, Bench(name=name, token_sha256=_hash(token), added_at=now)])
        return token

    def revoke(self, name: str) -> None:
        """Let a bench's token count no longer, from the next request on. Raises BenchError."""
        with FileLock(self._file.with_suffix(".lock")):
            benches = self.all()
            if all(bench.name != name for bench in benches):
                raise BenchError(f"There is no bench {name!r}. See: piecewalk bench list")
            self._write([bench for bench in benches if bench.name != name])

    def who(self, token: str) -> str | None:
        """The name of the bench that a token belongs to, or None. Raises BenchError.

        Takes as long for every token of a length, and looks at every bench.
        """
        hashed = _hash(token)
        names = [bench.name for bench in self.all() if hmac.compare_digest(bench.token_sha256, hashed)]
        return names[0] if names else None

    def _version(self) -> tuple[int, ...]:
        try:
            found = self._file.stat()
        except OSError:
            return ()
        return (found.st_ino, found.st_mtime_ns, found.st_size)

    def _read(self) -> Sequence[Bench]:
        try:
            return msgspec.json.decode(self._file.read_bytes(), type=tuple[Bench, ...])
        except FileNotFoundError:
            return ()
        except (OSError, msgspec.MsgspecError, UnicodeDecodeError) as error:
            raise BenchError(
                f"{self._file} cannot be read: {error}. Restore it, or remove it and add them anew."
            ) from None

    def _write(self, benches: Sequence[Bench]) -> None:
        """Only the shop's own user may read it; the whole of the old or of the new is there at any moment."""
        new = self._file.with_suffix(".new")
        text = msgspec.json.format(msgspec.json.encode(benches)) + b"\n"
        try:
            new.unlink(missing_ok=True)
            with open(os.open(new, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            new.replace(self._file)
        except OSError as error:
            raise BenchError(f"{self._file} cannot be written: {error.strerror}.") from None


class _Seen(NamedTuple):
    version: tuple[int, ...]
    benches: Sequence[Bench]


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "surrogateescape")).hexdigest()
