"""Imports as they are listed, and taking one back with all that came with it."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.errors import NotFound
from app.domain.records import EntryKind
from app.services.access.people import Visitor
from app.services.entries import zone_of
from app.services.transaction import begin, finish
from app.storage.models.exchange import ImportBatch
from app.storage.queries import evaluations, imports


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportLine:
    """One import: `rows` came with it, `standing` of them are in force."""

    batch_id: int
    file_name: str
    made_at: datetime
    by: str
    rows: int
    standing: int
    undone_at: datetime | None


def imports_of(session: Session, tank_id: int) -> tuple[ImportLine, ...]:
    """The imports of a tank, the newest first."""
    return tuple(
        ImportLine(
            batch_id=batch.id,
            file_name=batch.file_name,
            made_at=batch.made_at,
            by=by,
            rows=batch.rows,
            standing=standing,
            undone_at=batch.undone_at,
        )
        for batch, by, standing in imports.batches(session, tank_id)
    )


def take_back(
    session: Session, tank_id: int, batch_id: int, *, visitor: Visitor, now: datetime
) -> int:
    """Take back all that came with an import and is in force; returns how many entries.

    What was corrected since is somebody's own work by now, and stays. Twice is the same as once.

    Raises:
        NotFound: If the tank has no such import.
    """
    begin(session, tank_id)
    batch = session.get(ImportBatch, batch_id)
    if batch is None or batch.tank_id != tank_id:
        raise NotFound("This tank has no such import.")
    if batch.undone_at is not None:
        session.rollback()
        return 0
    day = imports.first_day(session, batch_id)
    header = {
        "tank_id": tank_id,
        "kind": EntryKind.WITHDRAWAL.value,
        "happened_at": now,
        "local_day": local_day(now, zone_of(session, tank_id)),
        "recorded_at": now,
        "author_id": visitor.author_id,
        "digest": "",
        "reason": "import taken back",
    }
    done = imports.take_back(session, batch_id, header)
    batch.undone_at = now
    if day is not None:
        evaluations.forget_stages(session, tank_id, day)
    finish(session)
    return done
