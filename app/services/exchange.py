"""In and out: the files of loggers come in, every measurement goes out as one row of a CSV."""

import csv
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Row, func, insert, select
from sqlalchemy.orm import Session, aliased

from app.domain.calendar import local_day
from app.domain.errors import NotFound, Refused
from app.domain.logger_file import LoggerPreview, LoggerReading, digest_of, read_logger
from app.domain.quantities import FACTS, Quantity
from app.domain.records import EntryKind, EntryStatus
from app.services.entries import zone_of
from app.services.story import ADDED_LATER
from app.services.transaction import finish
from app.storage.file import Progress, no_progress
from app.storage.models.access import Author
from app.storage.models.entry import Entry
from app.storage.models.kit import Kit
from app.storage.models.livestock import Observation
from app.storage.models.maintenance import Job
from app.storage.models.site import Site
from app.storage.models.tank import Tank
from app.storage.models.water import Reading, WaterTest
from app.storage.queries import entries

__all__ = ["CODEBOOK", "Imported", "content_of", "export_csv", "import_logger", "read_logger"]

MOST_BYTES = 64 * 1024 * 1024
_ROWS_AT_ONCE = 5000

CODEBOOK = (
    ("time", "when it was measured, ISO date and time on the tank's clock with its offset"),
    ("tank", "name of the tank"),
    ("entry", "number of the entry; its readings share it, and so do the readers of one tube"),
    ("kind", "kind of the entry: feeding, water_test, logger, job, observation"),
    ("quantity", "what was measured"),
    ("value", "the value; empty where a card was lighter or darker than all its colors"),
    ("low", "the lowest it could be, where a color card was used"),
    ("high", "the highest it could be; empty beside a low: no upper end"),
    ("unit", "unit of value, low and high"),
    ("basis", "as what it is counted, such as nitrogen (as N) or nitrate"),
    ("typed", "what stood on the page before it was converted"),
    ("typed_unit", "the unit it was typed in"),
    ("typed_basis", "the basis it was typed in"),
    ("kit", "name of the kit, card or meter"),
    ("step_size", "from one color of the card to the next, in the typed unit"),
    ("status", "ok, corrected (a later entry counts instead) or withdrawn"),
    ("added_later", "yes where it was written down more than 30 minutes after it happened"),
    ("who", "whose hands, as a code: no nickname leaves the record"),
    ("note", "the note on the entry"),
)

_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")
_NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?")


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import did: its entry (None if nothing was new), readings added, readings known."""

    entry_id: int | None
    added: int
    known: int


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
    if not fresh:
        session.rollback()
        return Imported(None, 0, len(preview.readings))
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
    finish(session)
    return Imported(entry_id, len(fresh), len(preview.readings) - len(fresh))


def _known(session: Session, tank_id: int, preview: LoggerPreview) -> frozenset[datetime]:
    """Moments for which a logger's reading is in force already."""
    query = (
        select(Reading.at)
        .join(Entry, Entry.id == Reading.entry_id)
        .where(
            Reading.tank_id == tank_id,
            Reading.quantity == preview.quantity.value,
            Reading.in_force.is_(True),
            Reading.at.between(preview.readings[0].at, preview.readings[-1].at),
            Entry.kind == EntryKind.LOGGER.value,
        )
    )
    return frozenset(session.scalars(query))


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


def export_csv(session: Session, tank_id: int | None = None) -> Iterator[str]:
    """Every measurement as one row, oldest first: the headings, then line by line.

    The columns are those of `CODEBOOK`. Cells that a spreadsheet would take for a formula get a
    leading apostrophe.

    Raises:
        NotFound: If there is no such tank.
    """
    if tank_id is not None and session.get(Tank, tank_id) is None:
        raise NotFound("There is no such tank.")
    yield _line([name for name, _ in CODEBOOK])
    zones: dict[str, ZoneInfo] = {}
    query = _measurements(tank_id).execution_options(yield_per=1000)
    for row in session.execute(query):
        zone = zones.setdefault(row.zone, ZoneInfo(row.zone))
        yield _line([_cell(value) for value in _values(row, zone)])


def _measurements(tank_id: int | None) -> Any:
    hands, writer = aliased(Author), aliased(Author)
    query = (
        select(
            Reading, Entry, Tank.name.label("tank"), Site.zone.label("zone"), Kit,
            func.coalesce(hands.kind, writer.kind).label("who_kind"),
            func.coalesce(hands.id, writer.id).label("who_id"),
            func.coalesce(WaterTest.note, Job.note, Observation.note, "").label("note"),
        )
        .join(Entry, Entry.id == Reading.entry_id)
        .join(Tank, Tank.id == Reading.tank_id)
        .join(Site, Site.id == Tank.site_id)
        .join(writer, writer.id == Entry.author_id)
        .outerjoin(hands, hands.id == Entry.done_by_id)
        .outerjoin(Kit, Kit.id == Reading.kit_id)
        .outerjoin(WaterTest, WaterTest.entry_id == Entry.id)
        .outerjoin(Job, Job.entry_id == Entry.id)
        .outerjoin(Observation, Observation.entry_id == Entry.id)
        .order_by(Reading.at, Reading.id)
    )  # fmt: skip
    return query if tank_id is None else query.where(Reading.tank_id == tank_id)


def _values(row: Row[Any], zone: ZoneInfo) -> tuple[object, ...]:
    reading, entry = row.Reading, row.Entry
    facts = FACTS[Quantity(reading.quantity)]
    later = entry.recorded_at - reading.at > ADDED_LATER and entry.kind != EntryKind.LOGGER.value
    return (
        reading.at.astimezone(zone).isoformat(timespec="seconds"),
        row.tank,
        entry.id,
        entry.kind,
        reading.quantity,
        reading.value,
        reading.low,
        reading.high,
        facts.unit,
        facts.basis,
        reading.typed,
        reading.unit,
        reading.basis,
        row.Kit.name if row.Kit else "",
        _step_size(row.Kit.steps if row.Kit else "", reading.typed),
        EntryStatus(entry.status).value,
        "yes" if later else "no",
        f"{row.who_kind} {row.who_id}",
        row.note,
    )


def _step_size(steps: str, typed: str) -> float | None:
    """The wider of the two steps beside the color that was chosen."""
    colors = [float(step) for step in steps.split()]
    try:
        at = colors.index(float(typed))
    except ValueError:
        return None
    beside = [abs(colors[i] - colors[at]) for i in (at - 1, at + 1) if 0 <= i < len(colors)]
    return max(beside, default=None)


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.10g}"
    text = str(value)
    if text.startswith(_FORMULA_STARTS) and not _NUMBER.fullmatch(text):
        return f"'{text}"
    return text


def _line(cells: Sequence[str]) -> str:
    line = io.StringIO()
    csv.writer(line).writerow(cells)
    return line.getvalue()
