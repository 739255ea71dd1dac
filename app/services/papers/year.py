"""The story of a year: what happened in plain words, without anybody's name."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final

from sqlalchemy import distinct, func, select
from sqlalchemy.orm import Session

from app.domain.calendar import day_start
from app.domain.entry_words import STOCK_WORDS
from app.domain.quantities import FACTS, Quantity
from app.domain.records import EntryKind, EntryStatus, JobKind, StockEventKind
from app.domain.snapshot import TankSnapshot
from app.domain.wording import count, dated, listed, range_text, water_amount
from app.services import trends
from app.services.trends import Chart
from app.storage.models.entry import Entry
from app.storage.models.livestock import StockEvent, StockGroup
from app.storage.models.maintenance import Job
from app.storage.models.water import Reading

DRAWN: Final = (Quantity.TEMPERATURE, Quantity.NITRATE)
_LEAST_DRAWN: Final = 2
# kinds with how they are told: "on 30 days" for what is done once a day, else how often
_TOLD: Final = {
    EntryKind.FEEDING: ("Fed", "meal", "meals"),
    EntryKind.OBSERVATION: ("Looked at", "look", "looks"),
    EntryKind.WATER_TEST: ("Water tested", "test", "tests"),
}
_JOBS: Final = {
    JobKind.FILTER_RINSE: "The filter was rinsed",
    JobKind.GLASS: "The glass was wiped",
    JobKind.SIPHON: "The sand was siphoned",
    JobKind.TRIM: "Plants were trimmed",
}
_EVENTS: Final = (
    StockEventKind.ARRIVED,
    StockEventKind.BORN,
    StockEventKind.MOVED_IN,
    StockEventKind.MOVED_OUT,
    StockEventKind.LEFT,
    StockEventKind.FOUND,
    StockEventKind.DIED,
    StockEventKind.MISSING,
)


@dataclass(frozen=True, slots=True)
class Told:
    """One line of the story: what, and how much."""

    label: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class YearStory:
    """The story from `first` to `last`; losses only where they were told to pupils."""

    first: date
    last: date
    done: tuple[Told, ...]
    measured: tuple[Told, ...]
    animals: tuple[Told, ...]
    here: str
    charts: tuple[tuple[Quantity, Chart], ...]


def year_story(session: Session, snapshot: TankSnapshot, first: date) -> YearStory:
    """The story from a day up to now, as pupils know the tank."""
    told = snapshot.for_pupils()
    start = day_start(first, told.site.zone)
    return YearStory(
        first=first,
        last=told.today,
        done=(*_entries(session, told, start), *_jobs(session, told, start)),
        measured=tuple(_measured(session, told, start)),
        animals=tuple(_animals(session, told, start)),
        here=listed([f"{g.count} {g.name}" for g in told.groups if g.count]),
        charts=_charts(session, told, first),
    )


def _in_force(tank_id: int, start: datetime, end: datetime) -> tuple[Any, ...]:
    return (
        Entry.tank_id == tank_id,
        Entry.status == EntryStatus.OK.value,
        Entry.happened_at >= start,
        Entry.happened_at <= end,
    )


def _entries(session: Session, told: TankSnapshot, start: datetime) -> Iterator[Told]:
    rows = session.execute(
        select(
            Entry.kind,
            func.count(Entry.id),
            func.count(distinct(Entry.local_day)),
            func.min(Entry.local_day),
            func.max(Entry.local_day),
        )
        .where(*_in_force(told.tank.id, start, told.as_of))
        .group_by(Entry.kind)
    )
    found: dict[str, Any] = {kind: rest for kind, *rest in rows}
    for kind, (label, one, many) in _TOLD.items():
        if kind.value in found:
            number, days, first, last = found[kind.value]
            often = f"{count(number, one, many)} on {count(days, 'day', 'days')}"
            yield Told(label, f"{often}. First on {dated(first)}, last on {dated(last)}.")


def _jobs(session: Session, told: TankSnapshot, start: datetime) -> Iterator[Told]:
    rows = session.execute(
        select(Job.job, func.count(Job.entry_id), func.sum(Job.liters_out))
        .join(Entry, Entry.id == Job.entry_id)
        .where(*_in_force(told.tank.id, start, told.as_of))
        .group_by(Job.job)
    )
    found: dict[str, Any] = {job: rest for job, *rest in rows}
    if JobKind.WATER_CHANGE.value in found:
        number, liters = found[JobKind.WATER_CHANGE.value]
        water = f", {water_amount(told.site, liters)} in all" if liters else ""
        yield Told("Water changed", f"{count(number, 'time', 'times')}{water}.")
    for kind, label in _JOBS.items():
        if kind.value in found:
            yield Told(label, f"{count(found[kind.value][0], 'time', 'times')}.")


def _measured(session: Session, told: TankSnapshot, start: datetime) -> Iterator[Told]:
    rows = session.execute(
        select(
            Reading.quantity,
            func.count(Reading.id),
            func.min(func.coalesce(Reading.low, Reading.value)),
            func.max(func.coalesce(Reading.high, Reading.value, Reading.low)),
        )
        .where(
            Reading.tank_id == told.tank.id,
            Reading.in_force.is_(True),
            Reading.at >= start,
            Reading.at <= told.as_of,
        )
        .group_by(Reading.quantity)
    )
    found: dict[str, Any] = {quantity: rest for quantity, *rest in rows}
    for quantity in Quantity:
        if quantity.value in found:
            number, low, high = found[quantity.value]
            spread = range_text(quantity, low, high, told.site)
            yield Told(FACTS[quantity].label, f"{spread}, {count(number, 'reading', 'readings')}")


def _animals(session: Session, told: TankSnapshot, start: datetime) -> Iterator[Told]:
    rows = session.execute(
        select(Entry.local_day, StockEvent.what, StockEvent.count, StockGroup.name)
        .join(StockEvent, StockEvent.entry_id == Entry.id)
        .join(StockGroup, StockGroup.id == StockEvent.group_id)
        .where(
            *_in_force(told.tank.id, start, told.as_of),
            StockEvent.hidden.is_(False),
            StockEvent.what.in_([kind.value for kind in _EVENTS]),
        )
        .order_by(Entry.happened_at, Entry.id)
    )
    for day, what, number, name in rows:
        yield Told(dated(day), f"{number} {name} {STOCK_WORDS[StockEventKind(what)]}.")


def _charts(
    session: Session, told: TankSnapshot, first: date
) -> tuple[tuple[Quantity, Chart], ...]:
    days = max(1, (told.today - first).days)
    drawn = []
    for quantity in DRAWN:
        chart = trends.chart(session, told.tank.id, quantity, days, now=told.as_of)
        if chart.series.count >= _LEAST_DRAWN:
            drawn.append((quantity, chart))
    return tuple(drawn)
