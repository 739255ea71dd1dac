"""Charts of one quantity: the series, its picture, its words and its table."""

import threading
from collections import OrderedDict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.charts import describe, trend
from app.charts.describe import ChartWords
from app.domain.calendar import day_start, local_day, somebody_comes
from app.domain.errors import NotFound
from app.domain.quantities import FACTS, Quantity, Unit
from app.domain.records import EntryStatus, StockEventKind
from app.domain.series import Ahead, Band, Mark, Point, Series, Span
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.domain.tube import Seen, Tube
from app.domain.wording import readers_text
from app.estimates.nitrate_forecast import forecast
from app.knowledge.model import Knowledge
from app.rules.living import living
from app.rules.ranges import RangeShown, range_shown
from app.services import sites
from app.services import tanks as tank_service
from app.services.own_species import known
from app.storage import snapshot
from app.storage.models.entry import Entry
from app.storage.models.livestock import StockEvent, StockGroup
from app.storage.models.maintenance import Job
from app.storage.models.tank import Tank
from app.storage.models.water import Reading

MOST_KEPT = 64


@dataclass(frozen=True, slots=True)
class Chart:
    """A finished chart."""

    svg: str
    words: ChartWords
    series: Series


_kept: OrderedDict[tuple[object, ...], Chart] = OrderedDict()
_lock = threading.Lock()


def etag(
    session: Session, tank_id: int, quantity: Quantity, days: int | None, now: datetime
) -> str:
    """What changes when the chart does: the tank's revision, and the day.

    Raises:
        NotFound: If there is no such tank.
    """
    revision = tank_service.revision(session, tank_id)
    site = sites.without_days(session)
    zone = site.zone
    unit = site.unit_of(quantity).symbol
    return f"{tank_id}-{quantity.value}-{unit}-{days or 'all'}-{revision}-{local_day(now, zone)}"


def series(
    session: Session, tank_id: int, quantity: Quantity, days: int | None, *, now: datetime
) -> Series:
    """All that a chart of the last `days` shows; None for the whole record.

    Raises:
        NotFound: If there is no such tank.
    """
    found = snapshot.load(session, [tank_id], now)
    if not found:
        raise NotFound("There is no such tank.")
    # pupils look at the same chart
    told, knowledge = found[0].for_pupils(), known(session)
    tank, site = told.tank, told.site
    band = range_shown(tank, living(told, knowledge), quantity, knowledge)
    end = now
    start = datetime(1970, 1, 1, tzinfo=UTC) if days is None else now - timedelta(days=days)
    shown = site.unit_of(quantity)
    points = _points(session, tank_id, quantity, start, end, unit=shown)
    if days is None:
        start = points[0].at if points else now - timedelta(days=30)
    facts = FACTS[quantity]
    return Series(
        quantity=quantity,
        tank_name=tank.name,
        unit=shown.symbol,
        decimals=facts.decimals,
        zone=site.zone,
        start=start,
        end=end,
        points=points,
        bands=_bands(band, shown),
        marks=_marks(session, tank_id, start, end),
        spans=_away(site, start, end),
        now=now,
        ahead=_ahead(told, quantity, days, knowledge) if points else (),
    )


def _ahead(
    told: TankSnapshot, quantity: Quantity, days: int | None, knowledge: Knowledge
) -> tuple[Ahead, ...]:
    """What is expected, for no more days than the chart looks back; nitrate only."""
    if quantity is not Quantity.NITRATE:
        return ()
    fan = forecast(told, knowledge).fan
    if days is None:
        return fan
    last = told.as_of + timedelta(days=days)
    return tuple(each for each in fan if each.at <= last)


def _through(unit: Unit, value: float | None) -> float | None:
    return None if value is None else unit.from_kept(value)


def _bands(band: RangeShown | None, unit: Unit) -> tuple[Band, ...]:
    if band is None:
        return ()
    low, high = _through(unit, band.low), _through(unit, band.high)
    return (Band(low, high, band.label, band.source),)


def _points(
    session: Session,
    tank_id: int,
    quantity: Quantity,
    start: datetime,
    end: datetime,
    *,
    unit: Unit,
) -> tuple[Point, ...]:
    """The readings in the shown unit; several readers of one card are one point."""
    rows: Iterable[Any] = session.execute(
        select(
            Reading.at, Reading.entry_id, Reading.value, Reading.low, Reading.high, Reading.kit_id
        )
        .where(
            Reading.tank_id == tank_id,
            Reading.quantity == quantity.value,
            Reading.in_force.is_(True),
            Reading.at >= start,
            Reading.at <= end,
        )
        .order_by(Reading.at, Reading.entry_id, Reading.id)
    )
    points = []
    tube: list[Any] = []
    for row in rows:
        # a logger's file is a year of rows: each is taken apart once
        at, entry_id, value, low, _, kit_id = row
        if tube and (at, entry_id) != tube[0][:2]:
            points.append(_point(tube, unit))
            tube = []
        if low is None:
            points.append(Point(at, _through(unit, value), kit_id=kit_id))
        else:
            tube.append(row)
    return tuple([*points, _point(tube, unit)] if tube else points)


def _point(rows: Sequence[Any], unit: Unit) -> Point:
    """The point of one card, whoever read it."""
    tube = Tube(tuple(Seen(r.value, r.low, r.high) for r in rows)).through(unit.from_kept)
    note = readers_text(tube) if len(rows) > 1 else ""
    return Point(
        rows[0].at, tube.value, tube.low, tube.high, tube.high is None, rows[0].kit_id, note
    )


def _marks(session: Session, tank_id: int, start: datetime, end: datetime) -> tuple[Mark, ...]:
    jobs = session.execute(
        select(Entry.happened_at, Job.job)
        .join(Job, Job.entry_id == Entry.id)
        .where(
            Entry.tank_id == tank_id,
            Entry.status == EntryStatus.OK.value,
            Job.job.in_(("water_change", "filter_rinse")),
            Entry.kind == "job",
            Entry.happened_at.between(start, end),
        )
    )
    marks = [Mark(at, "change" if job == "water_change" else "filter") for at, job in jobs]
    fish = session.execute(
        select(Entry.happened_at, StockEvent.count, StockGroup.name)
        .join(StockEvent, StockEvent.entry_id == Entry.id)
        .join(StockGroup, StockGroup.id == StockEvent.group_id)
        .where(
            Entry.tank_id == tank_id,
            Entry.status == EntryStatus.OK.value,
            Entry.kind == "stock_event",
            Entry.happened_at.between(start, end),
            StockEvent.what == StockEventKind.ARRIVED.value,
        )
    )
    marks += [Mark(at, "fish", f"{count} {name} came") for at, count, name in fish]
    return tuple(sorted(marks, key=lambda m: m.at))


def _away(site: Site, start: datetime, end: datetime) -> tuple[Span, ...]:
    """Stretches of days on which nobody was meant to come."""
    spans: list[Span] = []
    day, last = local_day(start, site.zone), local_day(end, site.zone)
    open_since: datetime | None = None
    while day <= last:
        if not somebody_comes(site, day):
            open_since = open_since or max(start, day_start(day, site.zone))
        elif open_since is not None:
            spans.append(Span(open_since, day_start(day, site.zone), "away"))
            open_since = None
        day += timedelta(days=1)
    if open_since is not None:
        spans.append(Span(open_since, end, "away"))
    return tuple(spans)


def chart(
    session: Session, tank_id: int, quantity: Quantity, days: int | None, *, now: datetime
) -> Chart:
    """The chart, drawn once for each revision of the tank and day.

    Raises:
        NotFound: If there is no such tank.
    """
    key = (str(session.get_bind().engine.url), etag(session, tank_id, quantity, days, now))
    with _lock:
        if key in _kept:
            _kept.move_to_end(key)
            return _kept[key]
    shown = series(session, tank_id, quantity, days, now=now)
    words = describe.describe(shown)
    made = Chart(trend.draw(shown, f"chart-{quantity.value}", words), words, shown)
    with _lock:
        _kept[key] = made
        while len(_kept) > MOST_KEPT:
            _kept.popitem(last=False)
    return made


def measured(session: Session, tank_id: int) -> tuple[Quantity, ...]:
    """The quantities that were ever measured in a tank, in their usual order."""
    probes = [
        select(Reading.id)
        .where(Reading.tank_id == Tank.id, Reading.quantity == q.value, Reading.in_force.is_(True))
        .limit(1)
        .correlate(Tank)
        .scalar_subquery()
        for q in Quantity
    ]
    row = session.execute(select(*probes).where(Tank.id == tank_id)).first()
    if row is None:
        return ()
    return tuple(q for q, found in zip(Quantity, row, strict=True) if found is not None)
