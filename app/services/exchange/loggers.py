"""The file of a logger comes in: once, whole, and as one entry."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.errors import Refused
from app.domain.logger_file import LoggerPreview, LoggerReading, digest_of
from app.domain.records import EntryKind
from app.services.entries import zone_of
from app.services.transaction import finish
from app.storage.file import Progress, no_progress
from app.storage.models.access import Author
from app.storage.models.entry import Entry
from app.storage.models.water import Reading
from app.storage.queries import entries, logger_days

MOST_BYTES: Final = 64 * 1024 * 1024
_ROWS_AT_ONCE: Final = 5000


@dataclass(frozen=True, slots=True)
class Standing:
    """How many of a file's moments hold a logger's reading already, and how many another value.

    The other value may come from the same file, brought in with a wrong clock or unit.
    """

    known: int
    different: int


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import did: its entry (None if nothing was new), readings added, what stood there."""

    entry_id: int | None
    added: int
    standing: Standing


def content_of(file: Path) -> bytes:
    """The bytes of a file to import.

    Raises:
        Refused: If it is not there or too large.
    """
    if not file.is_file():
        raise Refused(f"There is no file {file}.")
    if file.stat().st_size > MOST_BYTES:
        raise Refused(f"{file} is too large: up to {MOST_BYTES // 1024**2} MB can be read.")
    return file.read_bytes()


def import_logger(
    session: Session,
    tank_id: int,
    preview: LoggerPreview,
    *,
    file_name: str,
    author_id: int | None = None,
    now: datetime,
    progress: Progress = no_progress,
) -> Imported:
    """Save a logger's readings as one entry; what an earlier import brought is left out.

    Args:
        session: A writing session.
        tank_id: The tank.
        preview: What was read and shown; it must be ready.
        file_name: Where the readings came from, for the story.
        author_id: Who imports; None for the command line.
        now: The present moment.
        progress: Called with (readings saved, readings in all).

    Raises:
        NotFound: If there is no such tank.
        Refused: If the preview holds questions, bad rows or no reading.
    """
    if not preview.is_ready:
        raise Refused("This file cannot be saved as it is. Nothing was saved.")
    entries.raise_revision(session, tank_id)
    zone = zone_of(session, tank_id)
    known = _known(session, tank_id, preview)
    fresh = [reading for reading in preview.readings if reading.at not in known]
    stands = _held_against(preview, known)
    if not fresh:
        session.rollback()
        return Imported(None, 0, stands)
    last = fresh[-1].at
    header = {
        "tank_id": tank_id,
        "kind": EntryKind.LOGGER.value,
        "happened_at": last,
        "local_day": local_day(last, zone),
        "recorded_at": now,
        "author_id": author_id if author_id is not None else _import_author(session),
        "token": _free_token(session, tank_id, digest_of(fresh)),
        "digest": digest_of(fresh),
    }
    detail = {"file_name": Path(file_name).name[:120], "rows": len(fresh)}
    entry_id = entries.add(session, header, detail)
    for start in range(0, len(fresh), _ROWS_AT_ONCE):
        chunk = fresh[start : start + _ROWS_AT_ONCE]
        session.execute(insert(Reading), _rows(chunk, preview, entry_id, tank_id))
        progress(start + len(chunk), len(fresh))
    logger_days.summarize(session, entry_id)
    finish(session)
    return Imported(entry_id, len(fresh), stands)


def standing(session: Session, tank_id: int, preview: LoggerPreview) -> Standing:
    """What of a file stands here already, before it is saved; the preview holds a reading."""
    return _held_against(preview, _known(session, tank_id, preview))


def _held_against(preview: LoggerPreview, known: Mapping[datetime, float | None]) -> Standing:
    there = [reading for reading in preview.readings if reading.at in known]
    other = sum(known[reading.at] != reading.value for reading in there)
    return Standing(len(there), other)


def _known(session: Session, tank_id: int, preview: LoggerPreview) -> dict[datetime, float | None]:
    """The logger's readings that are in force already, by moment."""
    query = (
        select(Reading.at, Reading.value)
        .join(Entry, Entry.id == Reading.entry_id)
        .where(
            Reading.tank_id == tank_id,
            Reading.quantity == preview.quantity.value,
            Reading.in_force.is_(True),
            Reading.at.between(preview.readings[0].at, preview.readings[-1].at),
            Entry.kind == EntryKind.LOGGER.value,
        )
    )
    return {row.at: row.value for row in session.execute(query)}


def _free_token(session: Session, tank_id: int, digest: str) -> str:
    """A token of the readings themselves; an import that was taken back may come again."""
    start = f"logger-{digest[:40]}"
    before = session.scalar(
        select(func.count()).where(Entry.tank_id == tank_id, Entry.token.startswith(start))
    )
    return f"{start}-{(before or 0) + 1}"


def _import_author(session: Session) -> int:
    found = session.scalar(select(Author).where(Author.kind == "import").limit(1))
    if found is None:
        found = Author(kind="import", name="Import")
        session.add(found)
        session.flush()
    return found.id


def _rows(
    readings: Sequence[LoggerReading], preview: LoggerPreview, entry_id: int, tank_id: int
) -> list[dict[str, Any]]:
    fixed = {
        "entry_id": entry_id,
        "tank_id": tank_id,
        "quantity": preview.quantity.value,
        "unit": preview.unit,
    }
    return [{**fixed, "at": r.at, "value": r.value, "typed": r.typed[:40]} for r in readings]
