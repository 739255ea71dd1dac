"""Engine and sessions: SQLite's switches, writing with BEGIN IMMEDIATE behind one lock."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.orm import Session, sessionmaker

PRAGMAS = (
    "journal_mode=WAL",
    "foreign_keys=ON",
    "busy_timeout=8000",
    "synchronous=FULL",
    "cache_size=-16000",
    "secure_delete=ON",
)


def sqlite_engine(file: Path, *, foreign_keys: bool = True) -> Engine:
    """An engine on a SQLite file with the switches that keep "saved" true.

    Args:
        file: The database file; its folder must exist.
        foreign_keys: Off only while migrating, where batch steps would delete child rows.
    """
    engine = create_engine(f"sqlite:///{file}")

    @event.listens_for(engine, "connect")
    def _on_connect(dbapi: Any, _record: object) -> None:
        dbapi.isolation_level = None
        for pragma in PRAGMAS:
            dbapi.execute(f"PRAGMA {pragma}")
        if not foreign_keys:
            dbapi.execute("PRAGMA foreign_keys=OFF")

    @event.listens_for(engine, "begin")
    def _on_begin(connection: Connection) -> None:
        options = connection.get_execution_options()
        connection.exec_driver_sql(options.get("sqlite_begin", "BEGIN IMMEDIATE"))

    return engine


class Database:
    """Sessions on one database: `reading()` for pages, `writing()` behind the writer lock."""

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self._writer = threading.Lock()
        self._write = sessionmaker(engine, expire_on_commit=False)
        self._read = sessionmaker(
            engine.execution_options(sqlite_begin="BEGIN"), expire_on_commit=False
        )

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that only reads; everything is rolled back at the end."""
        with self._read() as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session that may write; the service commits, anything left open is rolled back."""
        with self._writer, self._write() as session:
            yield session

    @contextmanager
    def writing_if_free(self) -> Iterator[Session | None]:
        """A session that may write, or None while somebody else is writing."""
        if not self._writer.acquire(blocking=False):
            yield None
            return
        try:
            with self._write() as session:
                yield session
        finally:
            self._writer.release()

    def close(self) -> None:
        """Give all connections back."""
        self.engine.dispose()
