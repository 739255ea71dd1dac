"""The readings that a chart shows: what people typed as points, what loggers wrote as columns."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Any, Final

import numpy as np
from sqlalchemy import ColumnElement, String, select, type_coerce
from sqlalchemy.orm import Session

from app.domain.calendar import day_start, local_day
from app.domain.quantities import Quantity, Unit
from app.domain.records import EntryKind
from app.domain.series import Logged, Point
from app.domain.tube import Seen, Tube
from app.domain.wording import readers_text
from app.storage.models.entry import Entry
from app.storage.models.water import Reading
from app.storage.queries import logger_days

# fewer are points as any others are: each may have a row of the table under the chart
_FEW: Final = 500
# over a longer time a day of a logger is its lowest and its highest reading: at a dozen units of
# the picture or less for a day, more of them draw the same line
_IN_FULL: Final = timedelta(days=45)

# a reading may have another time than its entry
_BESIDE_ITS_ENTRY: Final = timedelta(days=1)
_TYPED: Final = tuple(kind.value for kind in EntryKind if kind is not EntryKind.LOGGER)
_INSTANT: Final = timedelta(microseconds=1)
# plain columns: no object is made of a row
_COLUMNS: Final = Reading.__table__.c
_AT: Final = type_coerce(_COLUMNS.at, String).label("at")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """Readings of one quantity in a tank from `start` to `end`, in the unit that is shown."""

    tank_id: int
    quantity: Quantity
    start: datetime
    end: datetime
    unit: Unit
    zone: str


@dataclass(frozen=True, slots=True)
class Charted:
    """What was found: points ascending in time, and loggers' readings where there are many."""

    points: tuple[Point, ...]
    logged: Logged | None = None

    @property
    def first_at(self) -> datetime | None:
        """The moment of the first reading, or None."""
        firsts = [point.at for point in self.points[:1]]
        if self.logged is not None:
            firsts.append(datetime.fromtimestamp(float(self.logged.seconds[0]), UTC))
        return min(firsts, default=None)


@dataclass(frozen=True, slots=True)
class _Rows:
    """Rows of loggers on their way to columns: stored times, values and what they stand for."""

    times: list[str]
    values: list[float]
    counts: list[int]
    totals: list[float]

    def add_each(self, readings: Iterable[Any]) -> None:
        """Add readings as they are."""
        for reading in readings:
            if reading.value is not None:
                self.times.append(reading.at)
                self.values.append(reading.value)
                self.counts.append(1)
                self.totals.append(reading.value)


def readings(session: Session, wanted: Wanted) -> Charted:
    """All readings of a stretch that count; several readers of one card are one point."""
    loggers: dict[int, int] = {
        row[0]: row[1] for row in session.execute(logger_days.of_tank(wanted.tank_id, wanted.start))
    }
    many = sum(loggers.values()) >= _FEW
    if many and wanted.end - wanted.start > _IN_FULL:
        return _by_days(session, wanted, loggers)
    return _in_full(session, wanted, loggers if many else {})


def _in_full(session: Session, wanted: Wanted, loggers: Mapping[int, int]) -> Charted:
    found = session.execute(_query(wanted)).all()
    logged = [row for row in found if row[1] in loggers and row[3] is None]
    if len(logged) < _FEW:
        return Charted(_points(found, wanted.unit))
    values = [row[2] for row in logged]
    columns = _Rows([row[0] for row in logged], values, [1] * len(logged), values)
    typed = [row for row in found if row[1] not in loggers or row[3] is not None]
    return Charted(_points(typed, wanted.unit), _logged(columns, wanted.unit))


def _by_days(session: Session, wanted: Wanted, loggers: Mapping[int, int]) -> Charted:
    """Whole days as their extremes; what lies beside them, and the last day, in full."""
    days = logger_days.of_entries(session, wanted.tank_id, wanted.start)
    kept = [day for of_entry in days.values() for day in of_entry if day[0] == wanted.quantity]
    first, last = (local_day(at, wanted.zone) for at in (wanted.start, wanted.end))
    last = min(last, max((day[1] for day in kept), default=last))
    whole = [day for day in kept if first < day[1] < last]
    two = [day for day in whole if day[7] != day[5]]
    rows = _Rows(
        [day[5] for day in whole] + [day[7] for day in two],
        [day[4] for day in whole] + [day[6] for day in two],
        [day[2] for day in whole] + [0] * len(two),
        [day[3] for day in whole] + [0.0] * len(two),
    )
    after_first = day_start(first + timedelta(days=1), wanted.zone)
    for edge in (
        replace(wanted, end=after_first - _INSTANT),
        replace(wanted, start=day_start(last, wanted.zone)),
    ):
        rows.add_each(row for row in session.execute(_query(edge)) if row.entry_id in days)
    loose = [entry_id for entry_id in loggers if entry_id not in days]
    if loose:
        rows.add_each(session.execute(_query(wanted, _COLUMNS.entry_id.in_(loose))))
    if sum(rows.counts) < _FEW:
        return _in_full(session, wanted, {})
    return Charted(
        _points(session.execute(_typed(wanted)), wanted.unit), _logged(rows, wanted.unit)
    )


def _typed(wanted: Wanted) -> Any:
    """The readings that people typed, found by way of their entries.

    The index of readings holds those of loggers, too: a hundred times as many.
    """
    c = _COLUMNS
    return (
        select(_AT, c.entry_id, c.value, c.low, c.high, c.kit_id)
        .join(Entry, Entry.id == c.entry_id)
        .where(
            Entry.tank_id == wanted.tank_id,
            Entry.kind.in_(_TYPED),
            Entry.happened_at >= wanted.start - _BESIDE_ITS_ENTRY,
            c.quantity == wanted.quantity.value,
            c.in_force.is_(True),
            c.at >= wanted.start,
            c.at <= wanted.end,
        )
        .order_by(c.at, c.entry_id, c.id)
    )


def _query(wanted: Wanted, *which: ColumnElement[bool]) -> Any:
    c = _COLUMNS
    return (
        select(_AT, c.entry_id, c.value, c.low, c.high, c.kit_id)
        .where(
            c.tank_id == wanted.tank_id,
            c.quantity == wanted.quantity.value,
            c.in_force.is_(True),
            c.at >= wanted.start,
            c.at <= wanted.end,
            *which,
        )
        .order_by(c.at, c.entry_id, c.id)
    )


def _logged(rows: _Rows, unit: Unit) -> Logged:
    """The rows as columns, ascending in time."""
    seconds = logger_days.seconds_of(rows.times)
    order = np.argsort(seconds, kind="stable")
    counts = np.array(rows.counts, dtype=np.int64)[order]
    zero = unit.from_kept(0.0)
    scale = unit.from_kept(1.0) - zero

    def shown(kept: Sequence[float]) -> Any:
        return np.array(kept, dtype=np.float64)[order] * scale

    return Logged(
        seconds[order], shown(rows.values) + zero, counts, shown(rows.totals) + zero * counts
    )


def _points(rows: Iterable[Any], unit: Unit) -> tuple[Point, ...]:
    points: list[Point] = []
    tube: list[Any] = []
    for row in rows:
        at, entry_id, value, low, _, kit_id = row
        if tube and (at, entry_id) != tube[0][:2]:
            points.append(_point(tube, unit))
            tube = []
        if low is None:
            shown = None if value is None else unit.from_kept(value)
            points.append(Point(datetime.fromisoformat(at), shown, kit_id=kit_id))
        else:
            tube.append(row)
    return tuple([*points, _point(tube, unit)] if tube else points)


def _point(rows: Sequence[Any], unit: Unit) -> Point:
    """The point of one card, whoever read it."""
    at, _, _, _, _, kit_id = rows[0]
    tube = Tube(tuple(Seen(r.value, r.low, r.high) for r in rows)).through(unit.from_kept)
    note = readers_text(tube) if len(rows) > 1 else ""
    moment = datetime.fromisoformat(at)
    return Point(moment, tube.value, tube.low, tube.high, tube.high is None, kit_id, note)
