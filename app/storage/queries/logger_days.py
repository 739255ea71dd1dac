"""Days of loggers: the lowest and highest of each local day, so that long charts stay short work.

They are worked out from the readings whenever those of an entry change, and may be dropped at any
time: an entry whose days do not count as many readings as it says is read row by row.
"""

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import islice
from typing import Any

import numpy as np
import numpy.typing as npt
from sqlalchemy import String, delete, insert, select, type_coerce
from sqlalchemy.orm import Session

from app.domain.calendar import day_start, local_day
from app.domain.records import EntryKind, EntryStatus
from app.domain.series import FloatArray
from app.storage.models.entry import Entry
from app.storage.models.site import Site
from app.storage.models.tank import Tank
from app.storage.models.water import Logger, LoggerDay, Reading

# the time of an entry is that of one of its readings; those of a device's entry are of one day
_ONE_DAY = timedelta(hours=26)
_A_MICROSECOND = 1e-6
_BEGINNING = datetime(1970, 1, 1, tzinfo=UTC)
_AT_ONCE = 5000
_DAYS_AT_ONCE = 500

Moments = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Extreme:
    """A day of a logger: how many readings, their sum, the lowest and the highest with its time."""

    count: int
    total: float
    low: float
    low_at: datetime
    high: float
    high_at: datetime


def seconds_of(times: Sequence[str]) -> FloatArray:
    """Stored times as seconds since the beginning of 1970 in UTC."""
    return _microseconds_of(times).astype(np.float64) * _A_MICROSECOND


def _microseconds_of(times: Sequence[str]) -> Moments:
    # without the Z: numpy knows no zones, and all stored times are UTC
    moments = np.array([time[:-1] for time in times], dtype="datetime64[us]")
    return moments.astype(np.int64)


def of_tank(tank_id: int, since: datetime) -> Any:
    """A tank's entries of loggers with readings after a moment: number, how many readings."""
    return (
        select(Entry.id, Logger.rows)
        .join(Logger, Logger.entry_id == Entry.id)
        .where(
            Entry.tank_id == tank_id,
            Entry.kind == EntryKind.LOGGER.value,
            Entry.happened_at >= since - _ONE_DAY,
            Entry.status == EntryStatus.OK.value,
        )
    )


def of_entries(session: Session, tank_id: int, since: datetime) -> dict[int, list[Any]]:
    """The days of a tank's loggers by entry; only of entries whose days hold all readings.

    A row has quantity, day and the fields of `Extreme`.
    """
    own = of_tank(tank_id, since).subquery()
    rows = session.execute(
        select(
            LoggerDay.entry_id, own.c.rows, LoggerDay.quantity, LoggerDay.day,
            LoggerDay.count, LoggerDay.total,
            LoggerDay.low, type_coerce(LoggerDay.low_at, String),
            LoggerDay.high, type_coerce(LoggerDay.high_at, String),
        ).join(own, own.c.id == LoggerDay.entry_id)
    )  # fmt: skip
    found: dict[int, list[Any]] = {}
    said: dict[int, int] = {}
    for entry_id, whole, *row in rows:
        found.setdefault(entry_id, []).append(row)
        said[entry_id] = whole
    return {
        entry_id: days
        for entry_id, days in found.items()
        if sum(day[2] for day in days) == said[entry_id]
    }


def summarize(session: Session, entry_id: int) -> None:
    """Work out the days of a logger's entry anew, after its readings or its zone changed."""
    zone = session.execute(
        select(Site.zone)
        .join(Tank, Tank.site_id == Site.id)
        .join(Entry, Entry.tank_id == Tank.id)
        .where(Entry.id == entry_id)
    ).scalar_one()
    session.execute(delete(LoggerDay).where(LoggerDay.entry_id == entry_id))
    rows = (
        {"entry_id": entry_id, "quantity": quantity, "day": day, **asdict(extreme)}
        for quantity in _measured(session, entry_id)
        for day, extreme in _days(session, entry_id, quantity, zone)
    )
    while some := list(islice(rows, _DAYS_AT_ONCE)):
        session.execute(insert(LoggerDay), some)


def summarize_all(session: Session, site_id: int | None = None) -> None:
    """Work out the days of all loggers anew, or of those at one household or school."""
    query = select(Logger.entry_id)
    if site_id is not None:
        at_site = select(Entry.id).join(Tank, Tank.id == Entry.tank_id)
        query = query.where(Logger.entry_id.in_(at_site.where(Tank.site_id == site_id)))
    for entry_id in session.scalars(query).all():
        summarize(session, entry_id)


def _measured(session: Session, entry_id: int) -> Sequence[str]:
    return session.scalars(
        select(Reading.quantity).where(Reading.entry_id == entry_id).distinct()
    ).all()


def _days(
    session: Session, entry_id: int, quantity: str, zone: str
) -> Iterator[tuple[date, Extreme]]:
    moments, values = _read(session, entry_id, quantity)
    if not values.size:
        return
    first, last = (local_day(_at(moments, end), zone) for end in (0, -1))
    days = [first + timedelta(days=n) for n in range((last - first).days + 1)]
    begins = [round(day_start(day, zone).timestamp()) * 1_000_000 for day in days]
    starts = np.searchsorted(moments, np.array(begins), side="left")
    ends = np.append(starts[1:], values.size)
    for day, start, end in zip(days, starts.tolist(), ends.tolist(), strict=True):
        if end > start:
            yield day, _extreme(moments, values, start, end)


def _read(session: Session, entry_id: int, quantity: str) -> tuple[Moments, FloatArray]:
    """Moments in microseconds of UTC and values, in order of time; never held as rows."""
    found = session.execute(
        select(type_coerce(Reading.at, String), Reading.value)
        .where(
            Reading.entry_id == entry_id, Reading.quantity == quantity, Reading.value.is_not(None)
        )
        .order_by(Reading.at, Reading.id)
        .execution_options(yield_per=_AT_ONCE)
    )
    moments, values = [np.empty(0, np.int64)], [np.empty(0, np.float64)]
    for part in found.partitions():
        times, read = zip(*part, strict=True)
        moments.append(_microseconds_of(times))
        values.append(np.array(read, dtype=np.float64))
    return np.concatenate(moments), np.concatenate(values)


def _at(moments: Moments, place: int) -> datetime:
    return _BEGINNING + timedelta(microseconds=int(moments[place]))


def _extreme(moments: Moments, values: FloatArray, start: int, end: int) -> Extreme:
    of_day = values[start:end]
    low, high = start + int(of_day.argmin()), start + int(of_day.argmax())
    return Extreme(
        end - start,
        float(of_day.sum()),
        float(values[low]),
        _at(moments, low),
        float(values[high]),
        _at(moments, high),
    )
