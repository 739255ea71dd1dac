"""Keeping the record: open and upgrade it after a copy, back it up, say how it stands."""

import secrets
import sqlite3
from collections.abc import Collection
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import app
from app.domain.errors import NotFound, Refused
from app.services import sites
from app.services.installation import server_record
from app.settings import Settings
from app.storage import file as record_file
from app.storage import schema
from app.storage.engine import Database, sqlite_engine
from app.storage.file import NOTE_TABLE, Progress, no_progress

_SECRET_BYTES = 32


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """How a record stands. `fault` is empty for a whole one; `rows` counts by table."""

    file: Path
    size_bytes: int
    fault: str
    revision: str | None
    newest_revision: str
    sqlite_version: str
    rows: dict[str, int]

    @property
    def is_whole(self) -> bool:
        """Whether SQLite found nothing wrong and this program knows the schema."""
        return not self.fault and self.revision == self.newest_revision


def secret_key(folder: Path) -> str:
    """The key that signs this installation's cookies; made on first use, for its owner's eyes.

    Raises:
        Refused: If the file that holds it was cut short.
    """
    prepare_folder(folder)
    file = folder / "secret_key"
    if not file.exists():
        fresh = folder / f"secret_key.{secrets.token_hex(4)}"
        record_file.reserve(fresh)
        fresh.write_text(secrets.token_hex(_SECRET_BYTES), "ascii")
        record_file.put(fresh, file)
    key = file.read_text("ascii", errors="replace").strip()
    if len(key) < _SECRET_BYTES:
        raise Refused(f"{file} is not whole. Remove it; all browsers then sign in once more.")
    return key


def prepare_folder(folder: Path) -> None:
    """Make a folder that only its owner may open.

    Raises:
        Refused: If it cannot be made.
    """
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise Refused(f"The folder {folder} cannot be used: {error.strerror}.") from None


def needs_upgrade(settings: Settings) -> bool:
    """Whether opening this record would change its schema.

    Raises:
        Refused: If the file is damaged, of another program, or of a newer version.
    """
    file = settings.database_file
    if not schema.database_exists(file):
        if file.exists() and copies(settings):
            # an empty file is a first start that was cut short, unless there was a record before
            raise Refused(f"{file} is empty, and it held a record before. {_last_copy(settings)}")
        return True
    revision = _revision_of(settings)
    newest = schema.newest_revision()
    if revision is not None and revision not in schema.known_revisions():
        raise Refused(
            f"This record was written by a newer Sillpond (revision {revision}; this one knows "
            f"{newest}). Install the newer version. Nothing was changed."
        )
    return revision != newest


def _revision_of(settings: Settings) -> str | None:
    """The revision of a file that is whole and ours; None for one without tables."""
    file = settings.database_file
    try:
        with record_file.reading(file) as connection:
            found = record_file.fault(connection)
            revision = None if found else record_file.revision(connection)
            foreign = not found and revision is None and record_file.tables(connection)
    except Refused as unread:
        raise Refused(f"{unread} {_last_copy(settings)}") from None
    if found:
        raise Refused(f"{file} is damaged: {found}. {_last_copy(settings)}")
    if foreign:
        raise Refused(f"{file} was not written by Sillpond. Nothing was changed.")
    return revision


def _last_copy(settings: Settings) -> str:
    for copy in reversed(copies(settings)):
        file = settings.copies_folder / copy.name
        if _is_whole(file):
            return f"Nothing was changed. The last copy is here: sillpond restore {file}"
    return "Nothing was changed. Put a backup in its place with: sillpond restore FILE"


def _is_whole(file: Path) -> bool:
    try:
        return not report_on(file).fault
    except Refused:
        return False


def open_record(settings: Settings, *, now: datetime, zone: str = "UTC") -> Database:
    """Open the record; an older one is copied into the copies folder and then upgraded.

    Args:
        settings: The installation.
        now: The present moment, for the name of the copy.
        zone: The time zone of a household that is set up by this call.

    Raises:
        Refused: If the file is damaged, of another program, or of a newer version.
    """
    if settings.database_url:
        database = server_record.opened(settings.database_url)
    else:
        prepare_folder(settings.data_folder)
        if needs_upgrade(settings):
            _upgrade(settings, now)
        database = Database(sqlite_engine(settings.database_file))
    with database.writing() as session:
        if not sites.places(session):
            sites.set_site(session, sites.SiteDraft(name="Home", zone=zone))
    return database


def _upgrade(settings: Settings, now: datetime) -> None:
    file = settings.database_file
    if schema.database_exists(file):
        with record_file.reading(file) as connection:
            revision = record_file.revision(connection)
        if revision is not None:
            copy_aside(settings, f"revision-{revision}", now)
    else:
        record_file.reserve(file)
    engine = sqlite_engine(file, foreign_keys=False)
    try:
        schema.upgrade(engine)
    finally:
        engine.dispose()


def copy_aside(settings: Settings, why: str, now: datetime) -> Path:
    """Copy the record into the copies folder; returns where it lies."""
    prepare_folder(settings.copies_folder)
    stamp = now.astimezone(UTC).strftime("%Y-%m-%d-%H%M%S")
    target = settings.copies_folder / f"{stamp}-{why}.sqlite"
    record_file.copy_whole(settings.database_file, target)
    return target


def back_up(
    settings: Settings, target: Path, *, now: datetime, progress: Progress = no_progress
) -> Report:
    """Copy the record into one file, also while it is served, and look whether the copy is whole.

    The file carries a note: when it was made, by which version, of which rows and how many.

    Raises:
        NotFound: If there is no record yet.
        Refused: If the target is there already or cannot be written.
    """
    source = existing(settings)
    if target.exists():
        raise Refused(f"{target} is there already. Choose another name.")
    if not target.parent.is_dir():
        raise Refused(f"There is no folder {target.parent}.")
    unfinished = target.with_name(target.name + ".new")
    try:
        record_file.copy_whole(source, unfinished, progress)
        _leave_note(unfinished, now)
        record_file.put(unfinished, target)
    except OSError as error:
        raise Refused(f"{target} cannot be written: {error.strerror}.") from None
    finally:
        unfinished.unlink(missing_ok=True)
    _remember_backup(settings, now)
    return report_on(target)


def _remember_backup(settings: Settings, now: datetime) -> None:
    with suppress(OSError):  # the backup itself is there
        _backup_note(settings).write_text(now.astimezone(UTC).isoformat(timespec="seconds"))


def last_backup(settings: Settings) -> datetime | None:
    """When the last backup of this record was made, wherever it was put; None for never."""
    try:
        return datetime.fromisoformat(_backup_note(settings).read_text("ascii").strip())
    except (OSError, ValueError):
        return None


def _backup_note(settings: Settings) -> Path:
    return settings.data_folder / "last_backup"


def _leave_note(copy: Path, now: datetime) -> None:
    with closing(sqlite3.connect(copy)) as connection, connection:
        rows = record_file.counts(connection)
        connection.execute(f"CREATE TABLE {NOTE_TABLE} (name TEXT PRIMARY KEY, value TEXT)")
        note = {
            "made_at": now.astimezone(UTC).isoformat(timespec="seconds"),
            "version": app.__version__,
            **{f"rows of {name}": str(count) for name, count in rows.items()},
            **{f"digest of {name}": record_file.digest(connection, name) for name in rows},
        }
        connection.executemany(f"INSERT INTO {NOTE_TABLE} VALUES (?, ?)", note.items())  # noqa: S608


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """An automatic copy of the record as it stood at `made_at`, in UTC."""

    name: str
    made_at: datetime
    size_bytes: int


def copies(settings: Settings) -> tuple[Copy, ...]:
    """All automatic copies, oldest first."""
    found = []
    for file in settings.copies_folder.glob("*.sqlite"):
        about = file.stat()
        made_at = datetime.fromtimestamp(about.st_mtime, UTC)
        found.append(Copy(name=file.name, made_at=made_at, size_bytes=about.st_size))
    return tuple(sorted(found, key=lambda copy: copy.made_at))


def remove_copies(settings: Settings, names: Collection[str]) -> int:
    """Remove automatic copies for good; returns how many were there."""
    wanted = [copy.name for copy in copies(settings) if copy.name in names]
    for name in wanted:
        (settings.copies_folder / name).unlink(missing_ok=True)
    return len(wanted)


def look_for(settings: Settings) -> None:
    """Look whether somebody began a record.

    Raises:
        NotFound: If nobody did.
    """
    if settings.database_url:
        server_record.look_for(settings.database_url)
    else:
        existing(settings)


def where(settings: Settings) -> str:
    """Where the record is, for people; without the passphrase of a server."""
    if settings.database_url:
        return server_record.where(settings.database_url)
    return str(settings.database_file)


def existing(settings: Settings) -> Path:
    """The file of a record that is there.

    Raises:
        NotFound: If nobody began one.
        Refused: If the record is no file: it is on a PostgreSQL server.
    """
    server_record.refuse(settings)
    file = settings.database_file
    if not schema.database_exists(file):
        raise NotFound(f"There is no record in {settings.data_folder} yet. Begin: sillpond serve")
    return file


def check(settings: Settings) -> Report:
    """Look at the whole record without changing it.

    Raises:
        NotFound: If there is no record yet.
        Refused: If the file is no database at all.
    """
    return report_on(existing(settings))


def report_on(file: Path) -> Report:
    """Look at a file that should hold a record.

    Raises:
        Refused: If the file is no database at all.
    """
    with record_file.reading(file) as connection:
        found = record_file.fault(connection, thorough=True)
        return Report(
            file=file,
            size_bytes=file.stat().st_size,
            fault=found,
            revision=record_file.revision(connection),
            newest_revision=schema.newest_revision(),
            sqlite_version=sqlite3.sqlite_version,
            rows={} if found else record_file.counts(connection),
        )
