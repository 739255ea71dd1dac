"""Putting a backup in place of the record: a foreign file, examined, all of it or nothing.

The rows go into a fresh database of our own making, so that nothing of the file but rows gets
in: no trigger, view or changed rule of its schema. Table by table they are counted and compared
with the file, and with the note that it carries.

What opens the record from outside ends: nobody is signed in by a backup, and links and programs'
tokens are closed, for one that was closed since would be open again.
"""

import shutil
import sqlite3
import zipfile
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Engine, update

from app.domain.errors import Refused
from app.services.installation import keeping, server_record
from app.settings import Settings
from app.storage import file as record_file
from app.storage import schema
from app.storage.engine import sqlite_engine
from app.storage.file import NOTE_TABLE, Progress, no_progress, quoted
from app.storage.models.api import ApiToken
from app.storage.models.links import Link

_NOT_COPIED = frozenset(
    {"alembic_version", "sign_in", "sign_in_try", "request_count", "incoming_file"}
)


def restore(
    settings: Settings, source: Path, *, now: datetime, progress: Progress = no_progress
) -> Path | None:
    """Put a backup in place of the record; the caller holds the record's lock.

    Browsers that were signed in when the backup was made are not signed in by it; its links and
    its programs' tokens are closed.

    Returns:
        Where the record that stood there before was put, or None if there was none.

    Raises:
        Refused: If the file is not a whole backup that this version can read. The record that
            stands there is then as it was. Or if the record is on a PostgreSQL server.
    """
    server_record.refuse(settings)
    if not source.is_file():
        raise Refused(f"There is no file {source}.")
    if zipfile.is_zipfile(source):
        raise Refused(
            f"{source} is a ZIP file and no backup. A data package comes into an empty folder: "
            "sillpond unpack. Nothing was changed."
        )
    keeping.prepare_folder(settings.data_folder)
    fresh = settings.data_folder / "restoring.sqlite"
    _remove(fresh)
    try:
        _build(source, fresh, now, progress)
        aside = _put_aside(settings, now)
        record_file.put(fresh, settings.database_file)
    finally:
        _remove(fresh)
    return aside


def _remove(file: Path) -> None:
    for tail in ("", "-wal", "-shm", "-journal"):
        file.with_name(file.name + tail).unlink(missing_ok=True)


def _build(source: Path, fresh: Path, now: datetime, progress: Progress) -> None:
    """Make a database of the newest revision with the rows of `source`."""
    revision = _examined(source)
    record_file.reserve(fresh)
    engine = sqlite_engine(fresh, foreign_keys=False)
    try:
        schema.upgrade(engine, to=revision)
        _copy_rows(source, fresh, progress)
        schema.upgrade(engine)
        _close_doors(engine, now)
    finally:
        engine.dispose()
    with closing(sqlite3.connect(fresh)) as connection:
        connection.execute("PRAGMA journal_mode=DELETE")


def _close_doors(engine: Engine, now: datetime) -> None:
    with engine.begin() as connection:
        for table in (Link, ApiToken):
            closed = update(table).where(table.ended_at.is_(None)).values(ended_at=now)
            connection.execute(closed)


def _examined(source: Path) -> str:
    """The revision of a file that is whole and ours."""
    with record_file.reading(source) as connection:
        found = record_file.fault(connection)
        if found:
            raise Refused(f"{source} is damaged: {found}. Nothing was changed.")
        revision = record_file.revision(connection)
        foreign = record_file.foreign(connection)
    if revision is None:
        raise Refused(f"{source} is not a backup of a Sillpond record. Nothing was changed.")
    if revision not in schema.known_revisions():
        raise Refused(
            f"{source} was written by a newer Sillpond (revision {revision}; this one knows "
            f"{schema.newest_revision()}). Nothing was changed."
        )
    if foreign:
        raise Refused(f"{source} holds what no backup holds: {foreign}. Nothing was changed.")
    return revision


def _copy_rows(source: Path, fresh: Path, progress: Progress) -> None:
    with closing(sqlite3.connect(fresh, uri=True, isolation_level=None)) as connection:
        connection.execute("PRAGMA trusted_schema=OFF")
        connection.execute("PRAGMA cell_size_check=ON")
        connection.execute("ATTACH ? AS old", (record_file.uri_of(source),))
        ours = record_file.tables(connection)
        with record_file.reading(source) as origin:
            theirs = set(record_file.tables(origin)) - {NOTE_TABLE}
            note = _note(origin)
        if theirs != set(ours):
            odd = ", ".join(sorted(theirs ^ set(ours)))
            raise Refused(f"{source} has other tables than a record: {odd}. Nothing was changed.")
        connection.execute("BEGIN")
        try:
            for done, table in enumerate(ours):
                progress(done, len(ours))
                if table not in _NOT_COPIED:
                    _copy_table(connection, table, source)
                    _compare(connection, table, source, note)
            connection.execute("COMMIT")
        except sqlite3.DatabaseError as error:
            raise Refused(f"{source} does not fit: {error}. Nothing was changed.") from None
        progress(len(ours), len(ours))
        found = record_file.fault(connection, thorough=True)
    if found:
        raise Refused(f"{source} does not fit together: {found}. Nothing was changed.")


def _note(origin: sqlite3.Connection) -> dict[str, str]:
    """What the backup says of itself; nothing where it is a record that was copied by hand."""
    if NOTE_TABLE not in record_file.tables(origin):
        return {}
    try:
        return dict(origin.execute(f"SELECT name, value FROM {NOTE_TABLE}"))  # noqa: S608
    except sqlite3.DatabaseError:
        raise Refused("The note of this backup cannot be read. Nothing was changed.") from None


def _compare(
    connection: sqlite3.Connection, table: str, source: Path, note: dict[str, str]
) -> None:
    """Hold the rows that came in against those of the file, and against its note."""
    found = record_file.digest(connection, table)
    wanted = {record_file.digest(connection, table, schema="old")}
    if f"digest of {table}" in note:
        wanted.add(note[f"digest of {table}"])
    if wanted != {found}:
        raise Refused(
            f"{source} was changed after it was written: {table} is another one. "
            "Nothing was changed."
        )


def _copy_table(connection: sqlite3.Connection, table: str, source: Path) -> None:
    ours = record_file.columns(connection, table)
    if set(ours) != set(record_file.columns(connection, table, schema="old")):
        raise Refused(f"{source} has other columns in {table}. Nothing was changed.")
    names = ", ".join(quoted(name) for name in ours)
    name = quoted(table)
    connection.execute(f"INSERT INTO main.{name} ({names}) SELECT {names} FROM old.{name}")  # noqa: S608


def _put_aside(settings: Settings, now: datetime) -> Path | None:
    """Keep the record that stands there, and leave it without a write-ahead file beside it."""
    file = settings.database_file
    if not schema.database_exists(file):
        return None
    try:
        aside = keeping.copy_aside(settings, "before-restore", now)
    except Refused:  # too damaged to be read: keep the bytes
        return _put_bytes_aside(settings, now)
    _settle(file)
    return aside


def _settle(file: Path) -> None:
    """Fold the write-ahead file into the record: it must never meet the new one."""
    with closing(sqlite3.connect(file, isolation_level=None)) as connection:
        try:
            (mode,) = connection.execute("PRAGMA journal_mode=DELETE").fetchone()
        except sqlite3.OperationalError:
            mode = "wal"
    if mode != "delete":
        raise Refused("Another program has the record open. Close it first. Nothing was changed.")


def _put_bytes_aside(settings: Settings, now: datetime) -> Path:
    stamp = now.astimezone(UTC).strftime("%Y-%m-%d-%H%M%S")
    folder = settings.copies_folder / f"{stamp}-damaged"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    file = settings.database_file
    for tail in ("", "-wal", "-shm"):
        part = file.with_name(file.name + tail)
        if part.exists():
            shutil.copy2(part, folder / part.name)
            if tail:
                part.unlink()
    return folder
