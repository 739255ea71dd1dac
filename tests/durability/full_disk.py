"""A disk that takes nothing: SQLite's own error, raised where a test wants it."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any
from unittest.mock import patch

from app.storage.engine import Database

CHANGES = ("INSERT", "UPDATE", "DELETE", "REPLACE")
COMMIT = "COMMIT"


@dataclass
class Disk:
    """Counts the changes that are asked of it; the one numbered `fails_at` finds no room."""

    fails_at: int = 0
    asked: list[str] = field(default_factory=list)

    def take(self, statement: str) -> None:
        """Note a change, or find no room for it (result code 13 of SQLite, SQLITE_FULL)."""
        self.asked.append(statement)
        if len(self.asked) == self.fails_at:
            error = sqlite3.OperationalError("database or disk is full")
            error.sqlite_errorcode = sqlite3.SQLITE_FULL
            raise error

    def fail_at(self, number: int) -> None:
        """Begin to count anew; 0 never fails."""
        self.fails_at, self.asked = number, []


@contextmanager
def disk_of(database: Database) -> Iterator[Disk]:
    """The disk under a database: every change, and every commit of one, asks it."""
    disk, dialect = Disk(), database.engine.dialect
    execute, executemany, commit = dialect.do_execute, dialect.do_executemany, dialect.do_commit

    def ask(statement: str) -> None:
        if statement.lstrip().upper().startswith(CHANGES):
            disk.take(statement)

    def one(cursor: Any, statement: str, *more: Any) -> None:
        ask(statement)
        execute(cursor, statement, *more)

    def many(cursor: Any, statement: str, *more: Any) -> None:
        ask(statement)
        executemany(cursor, statement, *more)

    def end(connection: Any) -> None:
        if disk.asked and disk.asked[-1] != COMMIT:
            disk.take(COMMIT)
        commit(connection)

    with (
        patch.object(dialect, "do_execute", one),
        patch.object(dialect, "do_executemany", many),
        patch.object(dialect, "do_commit", end),
    ):
        yield disk
