"""A record that does not answer: from a database's own codes to sentences that say what helps."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from typing import Final

from sqlalchemy.exc import DBAPIError, OperationalError

from app.domain.errors import CannotRead, CannotSave, SillpondError


@dataclass(frozen=True, slots=True)
class _Fault:
    """What is wrong, and what helps whoever wanted to save."""

    what: str
    helps: str
    nothing_saved: bool = True

    @property
    def when_saving(self) -> str:
        sure = " Nothing was saved, and what was there before is whole."
        return f"{self.what} {self.helps}{sure if self.nothing_saved else ''}"


_FULL: Final = _Fault(
    "The disk that holds the record is full.", "Make room on it, then save again."
)
_SICK: Final = _Fault(
    "The disk that holds the record does not answer as it should.",
    "Whoever runs this computer should look at it, then save again.",
)
_BUSY: Final = _Fault(
    "Another program has the record open and is writing.", "Save again in a minute."
)
# a commit whose answer never came may have been done; the token of a form says so when it comes
# again
_GONE: Final = _Fault(
    "The server that holds the record does not answer.",
    "Save again in a minute: what was saved already is not saved twice.",
    nothing_saved=False,
)
# "Result and Error Codes" of SQLite's documentation, the primary codes
_OF_SQLITE: Final = {
    sqlite3.SQLITE_FULL: _FULL,
    sqlite3.SQLITE_READONLY: _Fault(
        "The file of the record may not be written to.",
        "Whoever runs this computer can change that, then save again.",
    ),
    sqlite3.SQLITE_IOERR: _SICK,
    sqlite3.SQLITE_CANTOPEN: _Fault(
        "The file of the record cannot be opened.",
        "Whoever runs this computer can change that, then save again.",
    ),
    sqlite3.SQLITE_BUSY: _BUSY,
}
# appendix "PostgreSQL Error Codes" of its documentation: whole codes, then classes
_OF_POSTGRESQL: Final = {
    "53100": _FULL,
    "58030": _SICK,
    "25006": _Fault(
        "The server that holds the record takes no changes now.",
        "Whoever runs it can change that, then save again.",
    ),
    "55P03": _BUSY,
    "53": _Fault("The server that holds the record has too much to do.", "Save again in a minute."),
    "08": _GONE,
    "57P01": _GONE,
    "57P02": _GONE,
    "57P03": _GONE,
}


def _fault_of(error: DBAPIError) -> _Fault | None:
    """What a database's error says about where the record lies; None where it says nothing."""
    code = getattr(error.orig, "sqlite_errorcode", None)
    if isinstance(code, int):
        return _OF_SQLITE.get(code & 0xFF)
    state = getattr(error.orig, "sqlstate", "")
    if state is None:
        # the driver itself speaks: nobody answered it
        return _GONE if isinstance(error, OperationalError) else None
    return _OF_POSTGRESQL.get(state) or _OF_POSTGRESQL.get(state[:2])


@contextmanager
def _told(tell: Callable[[_Fault], SillpondError]) -> Iterator[None]:
    try:
        yield
    except DBAPIError as error:
        if fault := _fault_of(error):
            raise tell(fault) from error
        raise


def refusing() -> AbstractContextManager[None]:
    """Turn a write that was not taken into a refusal that a person can act on.

    Raises:
        CannotSave: If it was the disk, or the server.
    """
    return _told(lambda fault: CannotSave(fault.when_saving))


def telling() -> AbstractContextManager[None]:
    """Turn a read that was not answered into a sentence that says why.

    Raises:
        CannotRead: If it was the disk, or the server.
    """
    return _told(lambda fault: CannotRead(fault.what))
