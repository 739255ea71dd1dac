"""Groups with their batches, the events that change their counts, and plants."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import BindParameter, bindparam, select
from sqlalchemy.orm import Session

from app.domain.livestock import Batch, Plant, StockGroup
from app.domain.records import EntryKind, EntryStatus, StockEvent, StockEventKind
from app.storage.models.entry import Entry
from app.storage.models.livestock import Plant as PlantRow
from app.storage.models.livestock import StockBatch
from app.storage.models.livestock import StockEvent as EventRow
from app.storage.models.livestock import StockGroup as GroupRow
from app.storage.records import same_names

_SIGNS = {
    StockEventKind.ARRIVED: 1,
    StockEventKind.BORN: 1,
    StockEventKind.FOUND: 1,
    StockEventKind.MOVED_IN: 1,
    StockEventKind.DIED: -1,
    StockEventKind.MISSING: -1,
    StockEventKind.MOVED_OUT: -1,
    StockEventKind.LEFT: -1,
    StockEventKind.MEASURED: 0,
}
LOSSES = frozenset({StockEventKind.DIED, StockEventKind.MISSING})

_TANKS: BindParameter[Any] = bindparam("tanks", expanding=True)
_LODGERS = (
    select(GroupRow, StockBatch)
    .outerjoin(StockBatch, StockBatch.group_id == GroupRow.id)
    .where(GroupRow.tank_id.in_(_TANKS))
    .order_by(GroupRow.id, StockBatch.id)
)
_PLANTS = select(PlantRow).where(PlantRow.tank_id.in_(_TANKS)).order_by(PlantRow.id)
_PLANTS_IN = _PLANTS.where(PlantRow.removed.is_(False))


@dataclass(slots=True)
class Lodgers:
    """The groups of one tank and their batches, in the order in which they were written."""

    groups: list[GroupRow] = field(default_factory=list)
    batches: list[Batch] = field(default_factory=list)


def lodgers(session: Session, tank_ids: Sequence[int]) -> dict[int, Lodgers]:
    """The groups with their batches by tank, in one statement."""
    found: dict[int, Lodgers] = defaultdict(Lodgers)
    for group, batch in session.execute(_LODGERS, {"tanks": tank_ids}):
        here = found[group.tank_id]
        if group not in here.groups[-1:]:
            here.groups.append(group)
        if batch is not None:
            here.batches.append(same_names(Batch, batch))
    return found


def plants(
    session: Session, tank_ids: Sequence[int], *, removed: bool = False
) -> dict[int, list[Plant]]:
    """The plants by tank; with those that were taken out when `removed` is set."""
    found: dict[int, list[Plant]] = defaultdict(list)
    query = _PLANTS if removed else _PLANTS_IN
    for row in session.scalars(query, {"tanks": tank_ids}):
        found[row.tank_id].append(same_names(Plant, row))
    return found


def counted(rows: Iterable[GroupRow], events: Sequence[StockEvent]) -> tuple[StockGroup, ...]:
    """The groups with what their events say: counts, hidden losses, the last measured length."""
    counts = tally((e.group_id, e.what.value, e.count) for e in events)
    hidden: dict[int, int] = defaultdict(int)
    lengths: dict[int, float] = {}
    for event in events:
        if event.hidden:
            hidden[event.group_id] += event.count
        if event.what is StockEventKind.MEASURED and event.length_cm is not None:
            lengths[event.group_id] = event.length_cm
    return tuple(
        StockGroup(
            id=g.id,
            name=g.name,
            count=counts.get(g.id, 0),
            band=g.band,
            adult_cm=g.adult_cm,
            species=g.species,
            length_cm=lengths.get(g.id),
            hidden_losses=hidden[g.id],
        )
        for g in rows
    )


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
        select(EventRow.group_id, EventRow.what, EventRow.count)
        .join(Entry, Entry.id == EventRow.entry_id)
        .where(
            Entry.tank_id == tank_id,
            Entry.kind == EntryKind.STOCK_EVENT.value,
            Entry.status == EntryStatus.OK.value,
        )
        .order_by(Entry.happened_at, Entry.id)
    ).all()
    return sum(tally((g, w, c) for g, w, c in rows).values()) if rows else None


def untold_losses(session: Session, tank_id: int) -> tuple[tuple[datetime, int], ...]:
    """When and how many were lost, of the losses that pupils were not told of yet."""
    rows = session.execute(
        select(Entry.happened_at, EventRow.count)
        .join(EventRow, EventRow.entry_id == Entry.id)
        .where(
            Entry.tank_id == tank_id,
            Entry.status == EntryStatus.OK.value,
            EventRow.hidden.is_(True),
        )
        .order_by(Entry.happened_at, Entry.id)
    )
    return tuple((at, count) for at, count in rows)


def tanks_with_untold(session: Session, tank_ids: Sequence[int]) -> frozenset[int]:
    """Those of the tanks with losses that pupils were not told of yet."""
    query = (
        select(Entry.tank_id)
        .join(EventRow, EventRow.entry_id == Entry.id)
        .where(
            Entry.tank_id.in_(tank_ids),
            Entry.status == EntryStatus.OK.value,
            EventRow.hidden.is_(True),
        )
        .distinct()
    )
    return frozenset(session.scalars(query))
