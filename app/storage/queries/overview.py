"""What is asked of many tanks at once, in a number of statements that does not grow with them."""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, bindparam, select, true
from sqlalchemy.orm import InstrumentedAttribute, Session

from app.domain.kit import Equipment as EquipmentRecord
from app.domain.records import EntryStatus
from app.storage.base import folded
from app.storage.models.entry import Entry
from app.storage.models.kit import Equipment
from app.storage.models.livestock import StockBatch, StockEvent
from app.storage.models.site import Site
from app.storage.models.tank import Tank
from app.storage.records import same_names

_PLACES = (
    # in the order of the fields of `TankPlace`
    select(
        Tank.id, Tank.name, Tank.site_id, Site.name, Site.zone, Tank.room, Tank.round, Tank.revision
    )
    .join(Site, Site.id == Tank.site_id)
    .where(Tank.closed_on.is_(None))
    .order_by(Tank.folded)
)
_PLACES_AMONG = _PLACES.where(Tank.id.in_(bindparam("tanks", expanding=True)))


@dataclass(frozen=True, slots=True)
class TankPlace:
    """Where a tank stands: its household or school with the zone, its room, its round."""

    tank_id: int
    name: str
    site_id: int
    site_name: str
    zone: str
    room: str
    round: str
    revision: int


def tank_places(session: Session, among: Collection[int] | None = None) -> list[TankPlace]:
    """All tanks that are not closed, by name; `among` these numbers, where some are given."""
    query = _PLACES if among is None else _PLACES_AMONG
    return [TankPlace(*row) for row in session.execute(query, {"tanks": among})]


def tanks_with_lot(session: Session, lot: str) -> frozenset[int]:
    """The tanks on which equipment of a lot is in use, however the lot is written."""
    rows = session.execute(
        select(Equipment.lot, Equipment.tank_id).where(
            Equipment.lot != "", Equipment.retired_on.is_(None)
        )
    )
    return frozenset(tank_id for (tank_id,) in tanks_by_text(lot, rows))


def tanks_with_batch(session: Session, label: str) -> frozenset[int]:
    """The tanks into which animals of a batch came, however its label is written."""
    rows = session.execute(
        select(StockBatch.label, Entry.tank_id)
        .join(StockEvent, StockEvent.entry_id == Entry.id)
        .join(StockBatch, StockBatch.id == StockEvent.batch_id)
        .where(Entry.status == EntryStatus.OK.value)
        .distinct()
    )
    return frozenset(tank_id for (tank_id,) in tanks_by_text(label, rows))


def tanks_by_text(wanted: str, rows: Iterable[Any]) -> Iterator[tuple[Any, ...]]:
    """Of rows that begin with a text the rest, where that is the same but for case and marks."""
    sought = folded(wanted)
    return (tuple(row[1:]) for row in rows if folded(row[0]) == sought)


def among_these(
    column: InstrumentedAttribute[int], among: Collection[int] | None
) -> ColumnElement[bool]:
    """That a column holds one of these numbers; None for whatever it holds."""
    return true() if among is None else column.in_(among)


def tank_names(session: Session, among: Collection[int] | None = None) -> dict[int, str]:
    """The names of all tanks, closed ones too; `among` these numbers, where some are given."""
    rows = session.execute(select(Tank.id, Tank.name).where(among_these(Tank.id, among)))
    return {row.id: row.name for row in rows}


def equipment(
    session: Session, among: Collection[int] | None = None
) -> list[tuple[int, str, EquipmentRecord]]:
    """All equipment with its tank's number and name, also what was put away, by tank."""
    rows = session.execute(
        select(Tank.id, Tank.name, Equipment)
        .join(Tank, Tank.id == Equipment.tank_id)
        .where(among_these(Tank.id, among))
        .order_by(Tank.folded, Equipment.id)
    )
    return [(tank_id, name, same_names(EquipmentRecord, row)) for tank_id, name, row in rows]
