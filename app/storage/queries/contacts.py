"""What entries say of other tanks, and the moves between tanks."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date

from sqlalchemy import and_, bindparam, insert, select
from sqlalchemy.orm import Session, aliased

from app.domain.records import EntryStatus, StockEventKind
from app.domain.trace import Contact, Shared, Sharing, Way
from app.storage.models.entry import Entry
from app.storage.models.kit import Equipment
from app.storage.models.livestock import StockBatch, StockEvent
from app.storage.models.oversight import Contact as ContactRow
from app.storage.queries.overview import tanks_by_text

_SHARINGS = (
    select(ContactRow.entry_id, ContactRow.other_tank_id, ContactRow.what, ContactRow.way)
    .where(ContactRow.entry_id.in_(bindparam("entries", expanding=True)))
    .order_by(ContactRow.id)
)


def put(session: Session, entry_id: int, shared: Iterable[Sharing]) -> None:
    """Keep what an entry says of other tanks."""
    rows = [
        {
            "entry_id": entry_id,
            "other_tank_id": each.other_tank_id,
            "what": each.what.value,
            "way": each.way.value,
        }
        for each in shared
    ]
    if rows:
        session.execute(insert(ContactRow), rows)


def sharings_of(session: Session, entry_ids: Sequence[int]) -> dict[int, tuple[Sharing, ...]]:
    """What each of these entries says of other tanks."""
    found: dict[int, list[Sharing]] = defaultdict(list)
    for row in session.execute(_SHARINGS, {"entries": entry_ids}):
        found[row.entry_id].append(Sharing(row.other_tank_id, Shared(row.what), Way(row.way)))
    return {entry_id: tuple(each) for entry_id, each in found.items()}


def since(session: Session, day: date) -> tuple[Contact, ...]:
    """All contacts from a day on that entries in force speak of, moves of animals too."""
    return (*_written(session, day), *_moves(session, day))


def _written(session: Session, day: date) -> Iterable[Contact]:
    rows = session.execute(
        select(ContactRow, Entry.tank_id, Entry.local_day)
        .join(Entry, Entry.id == ContactRow.entry_id)
        .where(Entry.status == EntryStatus.OK.value, Entry.local_day >= day)
    )
    for row, tank_id, on in rows:
        also = row.way == Way.ALSO.value
        yield Contact(on, row.other_tank_id, tank_id, Shared(row.what), also, row.entry_id)


def _moves(session: Session, day: date) -> Iterable[Contact]:
    """Moves: both halves carry one token; the half that left tells from where."""
    out, into = aliased(StockEvent), aliased(StockEvent)
    there = aliased(Entry)
    rows = session.execute(
        select(Entry.tank_id, there.tank_id, Entry.local_day, Entry.id)
        .join(out, out.entry_id == Entry.id)
        .join(there, and_(there.token == Entry.token, there.tank_id != Entry.tank_id))
        .join(into, into.entry_id == there.id)
        .where(
            out.what == StockEventKind.MOVED_OUT.value,
            into.what == StockEventKind.MOVED_IN.value,
            Entry.status == EntryStatus.OK.value,
            there.status == EntryStatus.OK.value,
            Entry.local_day >= day,
        )
    )
    for from_id, to_id, on, entry_id in rows:
        yield Contact(on, from_id, to_id, Shared.FISH, both_ways=False, entry_id=entry_id)


def batch_days(session: Session, label: str) -> dict[int, date]:
    """The tanks into which animals of a batch came, each with the first day."""
    rows = session.execute(
        select(StockBatch.label, Entry.tank_id, Entry.local_day)
        .join(StockEvent, StockEvent.batch_id == StockBatch.id)
        .join(Entry, Entry.id == StockEvent.entry_id)
        .where(
            Entry.status == EntryStatus.OK.value, StockEvent.what == StockEventKind.ARRIVED.value
        )
        .order_by(Entry.local_day.desc())
    )
    return dict(tanks_by_text(label, rows))


def lot_days(session: Session, lot: str, day: date) -> dict[int, date]:
    """The tanks that had equipment of a lot on a day or later, each from then on or since then."""
    rows = session.execute(
        select(Equipment.lot, Equipment.tank_id, Equipment.since, Equipment.retired_on).where(
            Equipment.lot != ""
        )
    )
    found: dict[int, date] = {}
    for tank_id, began, ended in tanks_by_text(lot, rows):
        if ended is None or ended >= day:
            first = max(began or day, day)
            found[tank_id] = min(first, found.get(tank_id, first))
    return found
