"""Whether an installation is fit: the record, the room on the disk, who may read it, backups.

Nothing is changed by looking. Each line is fine, a note that can wait, or something to mend now.
"""

import os
import shutil
import sqlite3
import stat
import zoneinfo
from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from importlib import metadata
from pathlib import Path
from typing import Final

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.domain.wording import count
from app.services.access import passphrases
from app.services.installation import keeping
from app.services.installation.keeping import Report
from app.settings import Settings
from app.storage import postgresql, schema
from app.storage.engine import Database, sqlite_engine
from app.storage.models.entry import Entry
from app.storage.models.site import Site
from app.storage.models.water import Reading
from app.storage.postgresql import postgresql_engine

# before it, two connections that end the log and commit at one moment could damage a file, very
# rarely (release news of SQLite, second-hand); one server with one writer does not do that
SAFE_SQLITE: Final = (3, 51, 3)
BACKUP_KEEPS: Final = timedelta(days=31)
LITTLE_ROOM: Final = 1_000_000_000
ZONES_KEEP_YEARS: Final = 2
_OTHERS: Final = stat.S_IRWXG | stat.S_IRWXO


class Grade(StrEnum):
    """How a line is meant."""

    FINE = "ok"
    NOTE = "note"
    MEND = "mend"


@dataclass(frozen=True, slots=True)
class Line:
    """What was looked at, how it stands, and what helps."""

    grade: Grade
    about: str
    says: str


def look(settings: Settings, *, now: datetime) -> Iterator[Line]:
    """Look at everything, one line each; a record that cannot be read ends it early.

    Raises:
        NotFound: If there is no record yet.
        Refused: If the file is no database at all.
    """
    if settings.database_url:
        yield from _of_server(settings, now)
        return
    report = keeping.check(settings)
    yield from _of_file(report)
    yield _room(report)
    yield _backup(settings, now)
    if os.name == "posix":
        yield _folder(settings.data_folder)
    if report.is_whole:
        with closing(Database(sqlite_engine(report.file))) as database:
            yield from _inside(database, alone=True, now=now)


def _of_file(report: Report) -> Iterator[Line]:
    if report.fault:
        help_ = "Put a backup back: sillpond restore FILE"
        yield Line(Grade.MEND, "Record", f"{report.file} is damaged: {report.fault}. {help_}")
        return
    amount = _amount(report.size_bytes, report.rows["entry"], report.rows["reading"])
    yield Line(Grade.FINE, "Record", f"{report.file} is whole: {amount}")
    yield _schema(report.revision, report.newest_revision)
    yield _sqlite(sqlite3.sqlite_version_info, report.sqlite_version)


def _amount(size_bytes: int, entries: int, readings: int) -> str:
    return f"{size_bytes / 1e6:.1f} MB, {entries} entries, {readings} readings"


def _schema(found: str | None, needed: str) -> Line:
    if found == needed:
        return Line(Grade.FINE, "Schema", f"{found}, as this program needs it")
    return Line(
        Grade.MEND, "Schema",
        f"{found}, and this program needs {needed}. An older record is upgraded by: sillpond "
        "serve. A newer one needs a newer program.",
    )  # fmt: skip


def _of_server(settings: Settings, now: datetime) -> Iterator[Line]:
    """What a server tells; room, backups and damage are seen by whoever runs it."""
    keeping.look_for(settings)
    with closing(Database(postgresql_engine(settings.database_url))) as database:
        revision, needed = schema.revision_of(database.engine), schema.newest_revision()
        with database.reading() as session:
            stands = postgresql.standing(session.connection())
            entries, readings = (
                session.scalar(select(func.count()).select_from(each)) or 0
                for each in (Entry, Reading)
            )
        amount = _amount(stands.size_bytes, entries, readings)
        yield Line(
            Grade.FINE, "Record",
            f"{keeping.where(settings)}: {amount}. Room, backups and damage are seen by whoever "
            "runs its server: pg_dump, pg_amcheck",
        )  # fmt: skip
        yield _schema(revision, needed)
        yield _server(stands)
        if revision == needed:
            yield from _inside(database, alone=False, now=now)


def _server(stands: postgresql.Standing) -> Line:
    if stands.takes_changes:
        return Line(Grade.FINE, "PostgreSQL", stands.version)
    return Line(
        Grade.MEND, "PostgreSQL",
        f"{stands.version}, which takes no changes now, so nothing can be saved.",
    )  # fmt: skip


def _sqlite(version: tuple[int, ...], name: str) -> Line:
    if version >= SAFE_SQLITE:
        return Line(Grade.FINE, "SQLite", name)
    safe = ".".join(map(str, SAFE_SQLITE))
    return Line(
        Grade.NOTE, "SQLite",
        f"{name}. Before {safe} a very rare race could damage a record that several programs "
        "write. Let one server alone write it, as sillpond serve does.",
    )  # fmt: skip


def _room(report: Report) -> Line:
    free = shutil.disk_usage(report.file.parent).free
    says = f"{free / 1e9:.1f} GB free"
    if free < report.size_bytes:
        return Line(Grade.MEND, "Room", f"{says}, too little for a copy of the record. Make room.")
    if free < LITTLE_ROOM:
        return Line(Grade.NOTE, "Room", f"{says}. Make room before it runs out.")
    return Line(Grade.FINE, "Room", says)


def _backup(settings: Settings, now: datetime) -> Line:
    made_at = keeping.last_backup(settings)
    if made_at is None:
        return Line(Grade.NOTE, "Backup", "none was made here yet. Make one: sillpond backup FILE")
    age = now - made_at
    says = f"{made_at:%Y-%m-%d}, {count(max(0, age.days), 'day', 'days')} old"
    if age > BACKUP_KEEPS:
        return Line(Grade.NOTE, "Backup", f"{says}. Make a new one: sillpond backup FILE")
    return Line(Grade.FINE, "Backup", f"{says}. Keep it on another disk.")


def _folder(folder: Path) -> Line:
    about = folder.stat()
    if about.st_mode & _OTHERS:
        return Line(
            Grade.MEND, "Folder",
            f"other accounts of this computer can look into {folder}. Close it: chmod 700 {folder}",
        )  # fmt: skip
    if not os.access(folder, os.W_OK):
        return Line(Grade.MEND, "Folder", f"{folder} cannot be written, so nothing can be saved.")
    return Line(Grade.FINE, "Folder", "only its owner can look into it")


def _inside(database: Database, *, alone: bool, now: datetime) -> Iterator[Line]:
    with database.reading() as session:
        yield _passphrase(session, alone=alone)
        names = session.scalars(select(Site.zone).distinct().order_by(Site.zone)).all()
    yield _zones(names, zone_data(), now)


def _passphrase(session: Session, *, alone: bool) -> Line:
    having = passphrases.with_passphrase(session)
    if having:
        return Line(Grade.FINE, "Passphrase", f"{count(having, 'adult has', 'adults have')} one")
    if alone:
        return Line(
            Grade.NOTE, "Passphrase",
            "nobody has one, so only this computer is let in. Set one: sillpond passphrase",
        )  # fmt: skip
    return Line(
        Grade.MEND, "Passphrase",
        "nobody has one, and other computers reach this record. Set one: sillpond passphrase",
    )  # fmt: skip


def _zones(names: Sequence[str], version: str, now: datetime) -> Line:
    for name in names:
        try:
            zoneinfo.ZoneInfo(name)
        except (zoneinfo.ZoneInfoNotFoundError, ValueError):
            return Line(Grade.MEND, "Time zones", f"this computer does not know {name}.")
    known = f"{', '.join(names)}, by the rules of {version or 'an unknown version'}"
    if version[:4].isdigit() and now.year - int(version[:4]) >= ZONES_KEEP_YEARS:
        return Line(
            Grade.NOTE, "Time zones", f"{known}. Clocks may change otherwise by now: update them."
        )
    return Line(Grade.FINE, "Time zones", known)


def zone_data() -> str:
    """The version of the rules of time zones that are used here, such as 2026a; "" if unknown.

    The computer's own rules go before those of the package.
    """
    for folder in zoneinfo.TZPATH:
        file = Path(folder) / "tzdata.zi"
        if file.exists():
            first, *_ = file.read_text("ascii", errors="replace").partition("\n")
            return first.removeprefix("# version").strip()
    try:
        return metadata.version("tzdata")
    except metadata.PackageNotFoundError:
        return ""
