"""Forecasts that were kept, and the readings that they are compared with."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import bindparam, func, select
from sqlalchemy.orm import Session

from app.domain.forecast import Forecast
from app.domain.quantities import Quantity
from app.domain.records import EntryKind, EntryStatus
from app.storage.models.entry import Entry
from app.storage.models.forecast import Forecast as ForecastRow
from app.storage.models.water import Reading as ReadingRow
from app.storage.records import same_names

_NEWEST = (
    select(func.max(ForecastRow.id))
    .where(
        ForecastRow.tank_id.in_(bindparam("tanks", expanding=True)),
        ForecastRow.entry_id.is_not(None),
        ForecastRow.made_at <= bindparam("as_of"),
    )
    .group_by(ForecastRow.tank_id, ForecastRow.quantity)
)
_FACTORS = (
    select(ForecastRow.tank_id, ForecastRow.quantity, ForecastRow.factor)
    .where(ForecastRow.id.in_(_NEWEST))
    .order_by(ForecastRow.id)
)


def record(row: ForecastRow, status: str | None) -> Forecast:
    """A forecast; `status` is that of the entry after which it was made."""
    stands = status in (None, EntryStatus.OK.value)
    return same_names(Forecast, row, quantity=Quantity(row.quantity), stands=stands)


def newest(session: Session, tank_id: int, quantity: Quantity, limit: int) -> tuple[Forecast, ...]:
    """The last forecasts that were made after an entry, newest first."""
    query = (
        select(ForecastRow, Entry.status)
        .join(Entry, Entry.id == ForecastRow.entry_id)
        .where(ForecastRow.tank_id == tank_id, ForecastRow.quantity == quantity.value)
        .order_by(ForecastRow.made_at.desc(), ForecastRow.id.desc())
        .limit(limit)
    )
    return tuple(record(row, status) for row, status in session.execute(query))


def factors(
    session: Session, tank_ids: Sequence[int], as_of: datetime
) -> dict[int, tuple[tuple[Quantity, float], ...]]:
    """By how much each tank's ranges are widened, as its newest forecasts say."""
    found: dict[int, list[tuple[Quantity, float]]] = defaultdict(list)
    for row in session.execute(_FACTORS, {"tanks": tank_ids, "as_of": as_of}):
        found[row.tank_id].append((Quantity(row.quantity), row.factor))
    return {tank_id: tuple(found[tank_id]) for tank_id in tank_ids}


def lacking(
    session: Session, tank_id: int, quantities: Iterable[Quantity], since: datetime
) -> tuple[tuple[Quantity, int], ...]:
    """The quantities whose newest reading has no forecast yet, each with the reading's entry.

    A logger's readings are left out, and so is what was measured before `since`. One forecast a
    local day is enough, unless the entry after which it was made counts no more.
    """
    found = []
    for quantity in quantities:
        # only as far back as counts: a logger may have measured for years since somebody did
        newest_one = _taken(tank_id, quantity).where(ReadingRow.at >= since)
        newest_one = newest_one.add_columns(Entry.local_day)
        newest_one = newest_one.order_by(ReadingRow.at.desc(), ReadingRow.id.desc())
        row = session.execute(newest_one.limit(1)).first()
        if row is None:
            continue
        made = (
            select(ForecastRow.id)
            .join(Entry, Entry.id == ForecastRow.entry_id)
            .where(
                ForecastRow.tank_id == tank_id,
                ForecastRow.quantity == quantity.value,
                ForecastRow.made_at >= since - timedelta(days=1),
                Entry.local_day == row.local_day,
                Entry.status == EntryStatus.OK.value,
            )
            .limit(1)
        )
        if session.scalar(made) is None:
            found.append((quantity, row.Reading.entry_id))
    return tuple(found)


def readings(
    session: Session, tank_id: int, quantity: Quantity, since: datetime
) -> Sequence[ReadingRow]:
    """The readings that count and that people took from a moment on, oldest first."""
    query = _taken(tank_id, quantity).where(ReadingRow.at >= since)
    return session.scalars(query.order_by(ReadingRow.at, ReadingRow.id)).all()


def _taken(tank_id: int, quantity: Quantity) -> Any:
    """The readings that count, without those of a logger."""
    return (
        select(ReadingRow)
        .join(Entry, Entry.id == ReadingRow.entry_id)
        .where(
            ReadingRow.tank_id == tank_id,
            ReadingRow.quantity == quantity.value,
            ReadingRow.in_force.is_(True),
            Entry.kind != EntryKind.LOGGER.value,
        )
    )
