"""ZIP files: written so that equal content gives equal bytes, read as if somebody meant harm."""

import hashlib
import io
import re
import stat
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any, Final, Self

from app.domain.errors import Refused

MOST_FILES: Final = 20_000
MOST_BYTES: Final = 8 * 1024**3
"""What a file that is read may hold in all once it is unpacked."""
_NO_TIME: Final = (1980, 1, 1, 0, 0, 0)
_CHUNK: Final = 1024 * 1024


class Counted(io.RawIOBase):
    """What is written into one file of a ZIP file, with its size and digest (SHA-256)."""

    def __init__(self, below: IO[bytes]) -> None:
        self._below = below
        self._hash = hashlib.sha256()
        self.size = 0

    def writable(self) -> bool:
        """Always."""
        return True

    def write(self, content: Any) -> int:
        """Write some bytes."""
        self._hash.update(content)
        self.size += len(content)
        return self._below.write(content)

    @property
    def digest(self) -> str:
        """The digest of what was written until now."""
        return self._hash.hexdigest()


class Packing:
    """A ZIP file that is being written. No time of day, no rights: only names and content."""

    def __init__(self, target: IO[bytes]) -> None:
        self._zip = zipfile.ZipFile(target, "w")

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_error: object) -> None:
        self._zip.close()

    @contextmanager
    def file(self, name: str, *, compress: bool = True) -> Iterator[Counted]:
        """Write one file piece by piece."""
        with self._zip.open(_about(name, compress), "w", force_zip64=True) as below:
            yield Counted(below)

    def add(self, name: str, content: bytes, *, compress: bool = True) -> None:
        """Write one file at once."""
        self._zip.writestr(_about(name, compress), content)


def _about(name: str, compress: bool) -> zipfile.ZipInfo:
    about = zipfile.ZipInfo(name, _NO_TIME)
    about.compress_type = zipfile.ZIP_DEFLATED if compress else zipfile.ZIP_STORED
    about.create_system = 3
    about.external_attr = 0o600 << 16
    return about


class Unpacking:
    """A ZIP file of somebody else, opened for reading; nothing of it is ever written by its name.

    What its head says of sizes is not believed: bytes are counted as they come.
    """

    def __init__(self, file: Path, expected: re.Pattern[str]) -> None:
        """Look at the names: each as `expected`, none twice, nothing but plain files.

        Raises:
            Refused: If the file is no such ZIP file.
        """
        try:
            self._zip = zipfile.ZipFile(file)
            self._left = MOST_BYTES
            self.names = self._checked(file, expected)
        except (OSError, zipfile.BadZipFile, ValueError, NotImplementedError):
            raise Refused(f"{file} is no ZIP file that can be read. Nothing was changed.") from None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_error: object) -> None:
        self._zip.close()

    def _checked(self, file: Path, expected: re.Pattern[str]) -> frozenset[str]:
        found = self._zip.infolist()
        if len(found) > MOST_FILES:
            raise Refused(f"{file} holds too many files. Nothing was changed.")
        seen = set()
        for each in found:
            mode = each.external_attr >> 16
            # orig_filename is what stands in the file, before anything is cut off
            plain = each.orig_filename == each.filename and not each.flag_bits & 0x1
            if not plain or not expected.fullmatch(each.filename) or each.filename in seen:
                raise Refused(
                    f"{file} holds a file that does not belong there: "
                    f"{each.orig_filename[:80]!r}. Nothing was changed."
                )
            if stat.S_IFMT(mode) not in (0, stat.S_IFREG):
                raise Refused(f"{file} holds something that is no file. Nothing was changed.")
            seen.add(each.filename)
        return frozenset(seen)

    def open(self, name: str) -> "Bounded":
        """One file of it, as a stream of bytes.

        Raises:
            Refused: While it is read: if it is not whole, or all that was read is too much.
        """
        return Bounded(self._zip.open(name), self._spend)

    def read(self, name: str, most: int) -> bytes:
        """One small file of it.

        Raises:
            Refused: If it holds more than `most` bytes, or is not whole.
        """
        with self.open(name) as stream:
            content = stream.read(most + 1)
        if len(content) > most:
            raise Refused(f"{name} is too large. Nothing was changed.")
        return content

    def _spend(self, size: int) -> None:
        self._left -= size
        if self._left < 0:
            raise Refused("This file unpacks to more than a record holds. Nothing was changed.")


class Bounded(io.RawIOBase):
    """A stream whose bytes are counted as they come, with the digest (SHA-256) of all of them."""

    def __init__(self, below: IO[bytes], spend: Any) -> None:
        self._below, self._spend = below, spend
        self._hash = hashlib.sha256()

    def readable(self) -> bool:
        """Always."""
        return True

    def readinto(self, buffer: Any) -> int:
        """Read the next bytes."""
        try:
            content = self._below.read(min(len(buffer), _CHUNK))
        except (zipfile.BadZipFile, EOFError, OSError, zlib.error):
            raise Refused("This file is not whole. Nothing was changed.") from None
        self._spend(len(content))
        self._hash.update(content)
        buffer[: len(content)] = content
        return len(content)

    @property
    def digest(self) -> str:
        """The digest of what was read until now."""
        return self._hash.hexdigest()

    def close(self) -> None:
        """Close it."""
        self._below.close()
        super().close()
