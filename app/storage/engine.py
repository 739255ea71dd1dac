"""Engine and sessions: SQLite's switches, and one writer at a time on either database."""

import functools
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.orm import ORMExecuteState, Session, sessionmaker

from app.domain.errors import Conflict
from app.storage import hold, postgresql
from app.storage.models.access import TILES_UNNAMED
from app.storage.queries import nicknames
from app.storage.refusing import refusing, telling

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
    # errors stand in logs, where nothing that was typed belongs
    engine = create_engine(f"sqlite:///{file}", hide_parameters=True)

    @event.listens_for(engine, "connect")
    def _on_connect(dbapi: Any, _record: object) -> None:
        dbapi.isolation_level = None
        for pragma in PRAGMAS:
            dbapi.execute(f"PRAGMA {pragma}")
        if not foreign_keys:
            dbapi.execute("PRAGMA foreign_keys=OFF")

    @event.listens_for(engine, "checkin")
    def _on_checkin(dbapi: Any, _record: object) -> None:
        # SQLite, "Response To Errors Within A Transaction": a COMMIT that failed may leave it open
        if dbapi is not None and dbapi.in_transaction:
            dbapi.rollback()

    @event.listens_for(engine, "begin")
    def _on_begin(connection: Connection) -> None:
        options = connection.get_execution_options()
        connection.exec_driver_sql(options.get("sqlite_begin", "BEGIN IMMEDIATE"))

    return engine


def _unname_tiles(state: ORMExecuteState) -> Any:
    if not state.is_select:
        return None
    given = state.parameters
    state.parameters = {**(given if isinstance(given, Mapping) else {}), TILES_UNNAMED: True}
    return state.invoke_statement()


class Database:
    """Sessions on one database: `reading()` for pages, `writing()` behind the writer lock."""

    def __init__(
        self, engine: Engine, writer: "threading.Lock | None" = None, *, with_nicknames: bool = True
    ) -> None:
        self.engine = engine
        self._with_nicknames = with_nicknames
        self._writer = writer or threading.Lock()
        self._write = sessionmaker(engine, expire_on_commit=False)
        self._is_file = engine.dialect.name == "sqlite"
        reading = (
            engine.execution_options(sqlite_begin="BEGIN")
            if self._is_file
            else postgresql.for_reading(engine)
        )
        self._read = sessionmaker(reading, expire_on_commit=False)

    @functools.cached_property
    def without_tile_names(self) -> "Database":
        """The same database for whoever sees no pupils: each is shown as "a helper"."""
        return self._unnamed(with_nicknames=True)

    @functools.cached_property
    def without_nicknames(self) -> "Database":
        """The same, and what people typed is read with "a helper" for each nickname in it.

        Words are changed where a page reads them only: a session that writes sees what stands
        there, so that nothing is saved but what somebody typed.
        """
        return self._unnamed(with_nicknames=False)

    def _unnamed(self, *, with_nicknames: bool) -> "Database":
        same = Database(self.engine, self._writer, with_nicknames=with_nicknames)
        for sessions in (same._write, same._read):
            event.listen(sessions, "do_orm_execute", _unname_tiles)
        return same

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that only reads; everything is rolled back at the end.

        Raises:
            CannotRead: If the disk or the server does not answer.
        """
        with telling(), self._read() as session:
            if self._with_nicknames:
                yield session
            else:
                with nicknames.unread(session):
                    yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session that may write; the service commits, anything left open is rolled back.

        Raises:
            CannotSave: If the disk does not take the change.
        """
        with refusing(), self._writer, self._write() as session:
            yield session

    @contextmanager
    def writing_if_free(self) -> Iterator[Session | None]:
        """A session that may write, or None while somebody else is writing."""
        if not self._writer.acquire(blocking=False):
            yield None
            return
        try:
            if self._is_file:
                with self._write() as session:
                    yield session
            else:
                with Session(postgresql.without_turn(self.engine)) as session:
                    free = postgresql.turn_if_free(session.connection())
                    yield session if free else None
        finally:
            self._writer.release()

    def takes_changes(self, session: Session) -> bool:
        """Whether a session that may write could do so. On a file it begins to, or raises."""
        connection = session.connection()
        return self._is_file or postgresql.standing(connection).takes_changes

    @contextmanager
    def held(self, kind: int, number: int, file: Path) -> Iterator[None]:
        """Hold what one at a time may have, in all processes that have this record open.

        Args:
            kind: What is held, a number of the caller's own.
            number: Of which it is held.
            file: Where the record is a file, its host is the only one, and this file is the lock.

        Raises:
            Conflict: If somebody holds it.
        """
        if self._is_file:
            with hold.held(file):
                yield
        else:
            with postgresql.held(self.engine, kind, number) as free:
                if not free:
                    raise Conflict
                yield

    def end_log(self) -> bool:
        """Write everything into the one file and empty the log beside it; whether that was done.

        Called after something was erased: until then the log may still hold it. It stays where
        somebody reads for longer than the busy timeout. A PostgreSQL server has a log for all its
        records, and whoever runs it says how long that is kept.
        """
        if not self._is_file:
            return True
        with self._writer, self.engine.connect() as connection:
            connection.exec_driver_sql("COMMIT")
            busy, *_ = connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").one()
        return not busy

    def sweep(self) -> bool:
        """Write the whole file anew, so that nothing erased is left in it; see `end_log`.

        On a PostgreSQL server `postgresql.sweep` is what can be done without locking everybody out.
        """
        if self._is_file:
            with self._writer, self.engine.connect() as connection:
                connection.exec_driver_sql("COMMIT")
                connection.exec_driver_sql("VACUUM")
        else:
            postgresql.sweep(self.engine)
        return self.end_log()

    def close(self) -> None:
        """Give all connections back."""
        self.engine.dispose()
