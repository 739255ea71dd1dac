"""A disk that takes no change: from SQLite's result codes to sentences that say what helps."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError

from app.domain.errors import CannotSave

_NOTHING = "Nothing was saved, and what was there before is whole."
_FULL = "The disk that holds the record is full. Make room on it, then save again."
# "Result and Error Codes" of SQLite's documentation, the primary codes
_SENTENCES = {
    sqlite3.SQLITE_FULL: _FULL,
    sqlite3.SQLITE_READONLY: "The file of the record may not be written to. Whoever runs this "
    "computer can change that, then save again.",
    sqlite3.SQLITE_IOERR: "The disk that holds the record does not answer as it should. Whoever "
    "runs this computer should look at it, then save again.",
    sqlite3.SQLITE_CANTOPEN: "The file of the record cannot be opened for writing. Whoever runs "
    "this computer can change that, then save again.",
    sqlite3.SQLITE_BUSY: "Another program has the record open and is writing. Save again in a "
    "minute.",
}  # fmt: skip


def sentence_of(error: BaseException | None) -> str:
    """What a driver's error says about the disk, or "" where it is about something else."""
    code = getattr(error, "sqlite_errorcode", None)
    found = _SENTENCES.get(code & 0xFF) if isinstance(code, int) else None
    return f"{found} {_NOTHING}" if found else ""


@contextmanager
def refusing() -> Iterator[None]:
    """Turn a write that the disk did not take into a refusal that a person can act on.

    Raises:
        CannotSave: If it was the disk.
    """
    try:
        yield
    except DBAPIError as error:
        if sentence := sentence_of(error.orig):
            raise CannotSave(sentence) from error
        raise
