"""One server a record: a lock of the operating system that dies with the process that holds it."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from app.domain.errors import Conflict

# behind the note, so that a locked byte never hides it (Windows refuses to read locked bytes)
_LOCKED_BYTE = 1 << 20

if sys.platform == "win32":  # pragma: no cover
    import msvcrt

    def _take(handle: IO[str]) -> bool:
        handle.seek(_LOCKED_BYTE)
        try:
            msvcrt.locking(handle.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def _give(handle: IO[str]) -> None:
        handle.seek(_LOCKED_BYTE)
        msvcrt.locking(handle.fileno(), msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _take(handle: IO[str]) -> bool:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return False
        return True

    def _give(handle: IO[str]) -> None:
        fcntl.flock(handle, fcntl.LOCK_UN)


class Hold:
    """A lock that is held; `say` leaves a note for whoever finds it taken."""

    def __init__(self, handle: IO[str]) -> None:
        self._handle = handle

    def say(self, note: str) -> None:
        """Write where the holder can be found, such as its address."""
        self._handle.seek(0)
        self._handle.truncate()
        self._handle.write(note)
        self._handle.flush()


@contextmanager
def held(file: Path) -> Iterator[Hold]:
    """Hold the lock of this file until the block ends.

    Raises:
        Conflict: If somebody holds it; the text is the note that they left, maybe empty.
    """
    with file.open("a+", encoding="utf-8") as handle:
        if not _take(handle):
            raise Conflict(_note_in(file))
        hold = Hold(handle)
        hold.say("")
        try:
            yield hold
        finally:
            hold.say("")
            _give(handle)


def holder(file: Path) -> str | None:
    """The note of whoever holds the lock of this file; None when nobody does."""
    if not file.exists():
        return None
    with file.open("a+", encoding="utf-8") as handle:
        if not _take(handle):
            return _note_in(file)
        _give(handle)
        return None


def _note_in(file: Path) -> str:
    try:
        return file.read_text("utf-8").strip()
    except OSError:
        return ""
