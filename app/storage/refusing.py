"""A record that takes no change: from a database's own codes to sentences that say what helps."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from sqlalchemy.exc import DBAPIError, OperationalError

from app.domain.errors import CannotSave

_NOTHING: Final = " Nothing was saved, and what was there before is whole."
_FULL: Final = (
    f"The disk that holds the record is full. Make room on it, then save again.{_NOTHING}"
)
_SICK: Final = (
    "The disk that holds the record does not answer as it should. Whoever runs this computer "
    f"should look at it, then save again.{_NOTHING}"
)
_BUSY: Final = (
    f"Another program has the record open and is writing. Save again in a minute.{_NOTHING}"
)
# a commit whose answer never came may have been done; the token of a form says so when it comes
# again
_GONE: Final = (
    "The server that holds the record does not answer. Save again in a minute: what was saved "
    "already is not saved twice."
)
# "Result and Error Codes" of SQLite's documentation, the primary codes
_OF_SQLITE: Final = {
    sqlite3.SQLITE_FULL: _FULL,
    sqlite3.SQLITE_READONLY: "The file of the record may not be written to. Whoever runs this "
    f"computer can change that, then save again.{_NOTHING}",
    sqlite3.SQLITE_IOERR: _SICK,
    sqlite3.SQLITE_CANTOPEN: "The file of the record cannot be opened for writing. Whoever runs "
    f"this computer can change that, then save again.{_NOTHING}",
    sqlite3.SQLITE_BUSY: _BUSY,
}  # fmt: skip
# appendix "PostgreSQL Error Codes" of its documentation: whole codes, then classes
_OF_POSTGRESQL: Final = {
    "53100": _FULL,
    "58030": _SICK,
    "25006": "The server that holds the record takes no changes now. Whoever runs it can change "
    f"that, then save again.{_NOTHING}",
    "55P03": _BUSY,
    "53": f"The server that holds the record has too much to do. Save again in a minute.{_NOTHING}",
    "08": _GONE,
    "57P01": _GONE,
    "57P02": _GONE,
    "57P03": _GONE,
}  # fmt: skip


def sentence_of(error: DBAPIError) -> str:
    """What a database's error says about where the record lies, or "" where it says nothing."""
    code = getattr(error.orig, "sqlite_errorcode", None)
    if isinstance(code, int):
        return _OF_SQLITE.get(code & 0xFF, "")
    state = getattr(error.orig, "sqlstate", "")
    if state is None:
        # the driver itself speaks: nobody answered it
        return _GONE if isinstance(error, OperationalError) else ""
    return _OF_POSTGRESQL.get(state) or _OF_POSTGRESQL.get(state[:2], "")


@contextmanager
def refusing() -> Iterator[None]:
    """Turn a write that was not taken into a refusal that a person can act on.

    Raises:
        CannotSave: If it was the disk, or the server.
    """
    try:
        yield
    except DBAPIError as error:
        if sentence := sentence_of(error):
            raise CannotSave(sentence) from error
        raise
