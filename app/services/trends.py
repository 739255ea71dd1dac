"""Charts of one quantity: the series, its picture, its words and its table."""

import threading
from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.charts import describe, trend
from app.charts.describe import ChartWords
from app.domain.calendar import day_start, local_day, somebody_comes
from app.domain.errors import NotFound
from app.domain.quantities import FACTS, Quantity, Unit
from app.domain.records import EntryStatus, StockEventKind
from app.domain.series import Ahead, Band, Mark, Series, Span
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.estimates.nitrate_forecast import forecast
from app.knowledge.model import Knowledge
from app.rules.living import living
from app.rules.ranges import RangeShown, range_shown
from app.services import charted, sites
from app.services import tanks as tank_service
from app.services.charted import Wanted
from app.services.own_species import known
from app.storage import snapshot
from app.storage.models.entry import Entry
from app.storage.models.livestock import StockEvent, StockGroup
from app.storage.models.maintenance import Job
from app.storage.models.tank import Tank
from app.storage.models.water import Reading

MOST_KEPT = 64
_WEEKENDS_SHOWN = timedelta(days=3 * 365)


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
    site = sites.without_days(session, tank_id)
    zone = site.zone
    unit = site.unit_of(quantity).symbol
    return f"{tank_id}-{quantity.value}-{unit}-{days or 'all'}-{revision}-{local_day(now, zone)}"


def series(
    session: Session,
    tank_id: int,
    quantity: Quantity,
    days: int | None,
    *,
    now: datetime,
    since: datetime | None = None,
) -> Series:
    """All that a chart of the last `days` shows; None for the whole record.

    `since` is a moment to begin with instead: a look back, without what is expected.

    Raises:
        NotFound: If there is no such tank.
    """
    # only what is expected rests on readings other than those that are drawn
    expects = quantity is Quantity.NITRATE
    found = snapshot.load(session, [tank_id], now, animals_only=not expects)
    if not found:
        raise NotFound("There is no such tank.")
    # pupils look at the same chart
    told = found[0].for_pupils()
    tank, site = told.tank, told.site
    knowledge = known(session, site.id)
    band = range_shown(tank, living(told, knowledge), quantity, knowledge)
    end = now
    start = since or (
        datetime(1970, 1, 1, tzinfo=UTC) if days is None else now - timedelta(days=days)
    )
    shown = site.unit_of(quantity)
    read = charted.readings(
        session,
        Wanted(
            tank_id=tank_id, quantity=quantity, start=start, end=end, unit=shown, zone=site.zone
        ),
    )
    if days is None and since is None:
        start = read.first_at or now - timedelta(days=30)
    facts = FACTS[quantity]
    return Series(
        quantity=quantity,
        tank_name=tank.name,
        unit=shown.symbol,
        decimals=facts.decimals,
        zone=site.zone,
        start=start,
        end=end,
        points=read.points,
        bands=_bands(band, shown),
        marks=_marks(session, tank_id, start, end),
        spans=away(site, start, end),
        now=now,
        ahead=_ahead(told, days, knowledge) if expects and read.first_at and not since else (),
        logged=read.logged,
    )


def _ahead(told: TankSnapshot, days: int | None, knowledge: Knowledge) -> tuple[Ahead, ...]:
    """What is expected of nitrate, for no more days than the chart looks back."""
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


def away(site: Site, start: datetime, end: datetime) -> tuple[Span, ...]:
    """Stretches of days on which nobody was meant to come; over years, breaks alone.

    The weekends of more than `_WEEKENDS_SHOWN` would be narrower than the line of a chart.
    """
    if end - start > _WEEKENDS_SHOWN:
        return tuple(_breaks(site, start, end))
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


def _breaks(site: Site, start: datetime, end: datetime) -> Iterator[Span]:
    for each in site.away:
        begins = max(start, day_start(each.first_day, site.zone))
        ends = min(end, day_start(each.last_day + timedelta(days=1), site.zone))
        if begins < ends:
            yield Span(begins, ends, "away")


def chart(
    session: Session,
    tank_id: int,
    quantity: Quantity,
    days: int | None,
    *,
    now: datetime,
    since: datetime | None = None,
) -> Chart:
    """The chart, drawn once for each revision of the tank and day; `since` as in `series`.

    Raises:
        NotFound: If there is no such tank.
    """
    of = etag(session, tank_id, quantity, days, now)
    key = (str(session.get_bind().engine.url), of, since)
    with _lock:
        if key in _kept:
            _kept.move_to_end(key)
            return _kept[key]
    shown = series(session, tank_id, quantity, days, now=now, since=since)
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
