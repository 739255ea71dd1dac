"""Writing and reading entries: their details and readings, replacement lines, revisions."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import bindparam, func, insert, or_, select, update
from sqlalchemy.orm import Session

from app.domain.records import EntryKind, EntryStatus
from app.storage.models.entry import Entry, Withdrawal
from app.storage.models.feeding import Feeding
from app.storage.models.livestock import Observation, StockEvent, StockGroup
from app.storage.models.maintenance import Job, Treatment
from app.storage.models.tank import Tank
from app.storage.models.water import Logger, Reading, WaterTest
from app.storage.records import OF_A_READING

DETAIL_TABLES: Mapping[EntryKind, type[Any]] = {
    EntryKind.FEEDING: Feeding,
    EntryKind.WATER_TEST: WaterTest,
    EntryKind.LOGGER: Logger,
    EntryKind.JOB: Job,
    EntryKind.STOCK_EVENT: StockEvent,
    EntryKind.OBSERVATION: Observation,
    EntryKind.WITHDRAWAL: Withdrawal,
}

_BY_TOKEN = select(Entry).where(
    Entry.tank_id == bindparam("tank"), Entry.token == bindparam("token")
)
_LATEST_AT = select(func.max(Entry.happened_at)).where(
    Entry.tank_id == bindparam("tank"),
    Entry.kind == bindparam("kind"),
    Entry.status == EntryStatus.OK.value,
    Entry.happened_at > bindparam("after"),
    Entry.happened_at <= bindparam("until"),
)
_READINGS = (
    # columns, not objects: a page of the story has a hundred of them
    select(*OF_A_READING)
    .where(Reading.entry_id.in_(bindparam("entries", expanding=True)))
    .order_by(Reading.id)
)


def raise_revision(session: Session, *tank_ids: int) -> None:
    """Count one more change of these tanks; the first statement of every write."""
    session.execute(update(Tank).where(Tank.id.in_(tank_ids)).values(revision=Tank.revision + 1))


def by_token(session: Session, tank_id: int, token: str) -> Entry | None:
    """The entry that a form saved before, or None."""
    return session.scalar(_BY_TOKEN, {"tank": tank_id, "token": token})


def latest_at(
    session: Session, tank_id: int, kind: EntryKind, after: datetime, until: datetime
) -> datetime | None:
    """The time of the latest entry of a kind that counts, after one moment and up to another."""
    given = {"tank": tank_id, "kind": kind.value, "after": after, "until": until}
    return session.scalar(_LATEST_AT, given)


def add(
    session: Session,
    header: Mapping[str, Any],
    detail: Mapping[str, Any],
    readings: Sequence[Mapping[str, Any]] = (),
    treatment: Mapping[str, Any] | None = None,
) -> int:
    """Insert an entry with its detail and readings; returns its id.

    `header` holds the columns of `entry`; the readings take tank and entry from it. A job may
    carry a treatment.
    """
    entry = Entry(**header)
    session.add(entry)
    session.flush()
    table = DETAIL_TABLES[EntryKind(entry.kind)]
    # a job's index needs them; everywhere else the header alone has them
    own = {} if table is not Job else {"tank_id": entry.tank_id, "happened_at": entry.happened_at}
    session.execute(insert(table).values(entry_id=entry.id, kind=entry.kind, **own, **detail))
    if treatment is not None:
        session.execute(insert(Treatment).values(entry_id=entry.id, **treatment))
    if readings:
        fixed = {"entry_id": entry.id, "tank_id": entry.tank_id}
        session.execute(insert(Reading), [{**fixed, **row} for row in readings])
    return entry.id


def set_status(session: Session, entry_id: int, status: EntryStatus) -> None:
    """Set whether an entry counts; its readings follow."""
    session.execute(update(Entry).where(Entry.id == entry_id).values(status=status.value))
    session.execute(
        update(Reading)
        .where(Reading.entry_id == entry_id)
        .values(in_force=status is EntryStatus.OK)
    )


def replacement_of(session: Session, entry_id: int) -> Entry | None:
    """The entry that replaces this one, or None."""
    return session.scalar(select(Entry).where(Entry.replaces_id == entry_id))


def tip_of(session: Session, entry: Entry) -> Entry:
    """The newest entry of the line that `entry` belongs to."""
    while (newer := replacement_of(session, entry.id)) is not None:
        entry = newer
    return entry


def replaced_ancestor(session: Session, entry: Entry) -> Entry | None:
    """The nearest older entry of the line that a correction had set aside, or None."""
    while entry.replaces_id is not None:
        older = session.get_one(Entry, entry.replaces_id)
        if older.status == EntryStatus.CORRECTED.value:
            return older
        entry = older
    return None


def details(session: Session, rows: Sequence[Entry]) -> dict[int, Any]:
    """The detail row of each header, in one statement a kind."""
    found: dict[int, Any] = {}
    for kind, table in DETAIL_TABLES.items():
        ids = [row.id for row in rows if row.kind == kind.value]
        if ids:
            for detail in session.scalars(select(table).where(table.entry_id.in_(ids))):
                found[detail.entry_id] = detail
    return found


def readings_of(session: Session, entry_ids: Sequence[int]) -> dict[int, list[Any]]:
    """The readings on these entries, in the order of typing; rows that `records.reading` takes."""
    found: dict[int, list[Any]] = {}
    for reading in session.execute(_READINGS, {"entries": entry_ids}):
        found.setdefault(reading.entry_id, []).append(reading)
    return found


def other_half(session: Session, entry: Entry) -> Entry | None:
    """The entry in the other tank that is one move with this one, or None.

    Both halves carry the token of the form that moved the animals.
    """
    moves = ("moved_in", "moved_out")
    here = select(StockEvent.what).where(StockEvent.entry_id == entry.id)
    if session.scalar(here) not in moves:
        return None
    return session.scalar(
        select(Entry)
        .join(StockEvent, StockEvent.entry_id == Entry.id)
        .where(
            Entry.token == entry.token, Entry.tank_id != entry.tank_id, StockEvent.what.in_(moves)
        )
    )


def group_names(session: Session, tank_id: int) -> dict[int, str]:
    """The names of a tank's groups by id."""
    query = select(StockGroup.id, StockGroup.name).where(StockGroup.tank_id == tank_id)
    return {row[0]: row[1] for row in session.execute(query)}


def changes_until(session: Session, tank_ids: Sequence[int], as_of: datetime) -> Any:
    """Corrections and withdrawals recorded by a moment: (id, replaces_id, target_id)."""
    query = (
        select(Entry.id, Entry.replaces_id, Withdrawal.target_id)
        .outerjoin(Withdrawal, Withdrawal.entry_id == Entry.id)
        .where(
            Entry.tank_id.in_(tank_ids),
            Entry.recorded_at <= as_of,
            or_(Entry.replaces_id.is_not(None), Entry.kind == EntryKind.WITHDRAWAL.value),
        )
        .order_by(Entry.recorded_at, Entry.id)
    )
    return session.execute(query).all()
