"""What is asked of a database meanwhile."""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import event

from app.storage.engine import Database

# on PostgreSQL a transaction that may write begins with its turn
_BEGINNINGS = ("BEGIN", "PRAGMA", "SELECT set_config('lock_timeout'")


@contextmanager
def asked_of(database: Database) -> Iterator[list[str]]:
    """The statements that reach a database inside, without those that open it or begin."""
    asked: list[str] = []

    def note(_connection: object, _cursor: object, statement: str, *_more: object) -> None:
        if not statement.startswith(_BEGINNINGS):
            asked.append(statement)

    event.listen(database.engine, "before_cursor_execute", note)
    try:
        yield asked
    finally:
        event.remove(database.engine, "before_cursor_execute", note)
