"""How many animals there are: groups and the events that change their counts."""

from collections.abc import Iterable

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.domain.records import EntryKind, EntryStatus, StockEventKind
from app.storage.models.entry import Entry
from app.storage.models.livestock import StockEvent

_SIGNS = {
    StockEventKind.ARRIVED: 1,
    StockEventKind.BORN: 1,
    StockEventKind.FOUND: 1,
    StockEventKind.MOVED_IN: 1,
    StockEventKind.DIED: -1,
    StockEventKind.MISSING: -1,
    StockEventKind.LEFT: -1,
}


def tally(events: Iterable[tuple[int, str, int]]) -> dict[int, int]:
    """Counts by group from (group_id, what, count) in the order they happened."""
    counts: dict[int, int] = {}
    for group_id, what, count in events:
        kind = StockEventKind(what)
        if kind is StockEventKind.RECOUNTED:
            counts[group_id] = count
        else:
            counts[group_id] = max(0, counts.get(group_id, 0) + _SIGNS[kind] * count)
    return counts


def expected(session: Session, tank_id: int) -> int | None:
    """How many animals the tank holds now; None while no group was ever written."""
    rows = session.execute(
        select(StockEvent.group_id, StockEvent.what, StockEvent.count)
        .join(Entry, Entry.id == StockEvent.entry_id)
        .where(
            Entry.tank_id == tank_id,
            Entry.kind == EntryKind.STOCK_EVENT.value,
            Entry.status == EntryStatus.OK.value,
        )
        .order_by(Entry.happened_at, Entry.id)
    ).all()
    return sum(tally((g, w, c) for g, w, c in rows).values()) if rows else None
