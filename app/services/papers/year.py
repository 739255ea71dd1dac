"""The story of a year: what happened in plain words, without anybody's name.

Sentences come first, for families; what was measured stands in one short list at the end. The
charts begin with the day of the story, so that they show what its words tell.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final

from sqlalchemy import distinct, func, select
from sqlalchemy.orm import Session

from app.domain.calendar import day_start
from app.domain.entry_words import STOCK_WORDS
from app.domain.measures import net_volume
from app.domain.quantities import FACTS, Quantity
from app.domain.records import EntryKind, EntryStatus, JobKind, StockEventKind
from app.domain.snapshot import TankSnapshot
from app.domain.wording import count, dated, listed, range_text, value_text, water_amount
from app.services import trends
from app.services.trends import Chart
from app.storage.models.entry import Entry
from app.storage.models.livestock import StockEvent, StockGroup
from app.storage.models.maintenance import Job
from app.storage.models.water import Reading

DRAWN: Final[Mapping[Quantity, str]] = {
    Quantity.TEMPERATURE: "How warm the water was",
    Quantity.NITRATE: "Nitrate: what food leaves in the water",
}
"""What is drawn, under which heading."""
_LEAST_DRAWN: Final = 2
# what was done on how many days
_ON_DAYS: Final = {
    EntryKind.FEEDING: "We fed the animals on {}.",
    EntryKind.OBSERVATION: "We looked at them on {}.",
    EntryKind.WATER_TEST: "We tested the water on {}.",
}
_ALSO: Final = {
    JobKind.FILTER_RINSE: "rinsed the filter",
    JobKind.GLASS: "wiped the glass",
    JobKind.SIPHON: "siphoned the sand",
    JobKind.TRIM: "trimmed plants",
}
# water that was changed is told in tanks from here on
_TANKS: Final = 1.5
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
    """The story from `first` to `last`; losses only where they were told to pupils.

    `sentences` are what was done, `measured` from where to where each quantity went.
    """

    first: date
    last: date
    sentences: tuple[str, ...]
    animals: tuple[Told, ...]
    here: str
    charts: tuple[tuple[str, Chart], ...]
    measured: tuple[Told, ...]


def year_story(session: Session, snapshot: TankSnapshot, first: date) -> YearStory:
    """The story from a day up to now, as pupils know the tank."""
    told = snapshot.for_pupils()
    start = day_start(first, told.site.zone)
    ranges = _ranges(session, told, start)
    return YearStory(
        first=first,
        last=told.today,
        sentences=(
            *_entries(session, told, start),
            *_jobs(session, told, start),
            *(f"The water was {text} warm." for text in _of(ranges, Quantity.TEMPERATURE)),
        ),
        animals=tuple(_animals(session, told, start)),
        here=listed([f"{g.count} {g.name}" for g in told.groups if g.count]),
        charts=_charts(session, told, start),
        measured=tuple(Told(FACTS[quantity].label, text) for quantity, text in ranges.items()),
    )


def _of(ranges: Mapping[Quantity, str], quantity: Quantity) -> Iterator[str]:
    if quantity in ranges:
        yield ranges[quantity]


def _in_force(tank_id: int, start: datetime, end: datetime) -> tuple[Any, ...]:
    return (
        Entry.tank_id == tank_id,
        Entry.status == EntryStatus.OK.value,
        Entry.happened_at >= start,
        Entry.happened_at <= end,
    )


def _entries(session: Session, told: TankSnapshot, start: datetime) -> Iterator[str]:
    rows = session.execute(
        select(Entry.kind, func.count(distinct(Entry.local_day)))
        .where(*_in_force(told.tank.id, start, told.as_of))
        .group_by(Entry.kind)
    )
    found = {row[0]: row[1] for row in rows}
    for kind, sentence in _ON_DAYS.items():
        if kind.value in found:
            yield sentence.format(count(found[kind.value], "day", "days"))


def _jobs(session: Session, told: TankSnapshot, start: datetime) -> Iterator[str]:
    rows = session.execute(
        select(Job.job, func.count(Job.entry_id), func.sum(Job.liters_out))
        .join(Entry, Entry.id == Job.entry_id)
        .where(*_in_force(told.tank.id, start, told.as_of))
        .group_by(Job.job)
    )
    found: dict[str, Any] = {job: rest for job, *rest in rows}
    if JobKind.WATER_CHANGE.value in found:
        number, liters = found[JobKind.WATER_CHANGE.value]
        yield f"We changed water {count(number, 'time', 'times')}{_water(told, liters)}."
    if also := [words for kind, words in _ALSO.items() if kind.value in found]:
        yield f"We also {listed(also)}."


def _water(told: TankSnapshot, liters: float | None) -> str:
    """How much that was, also in tanks: nobody knows how much 1500 L are."""
    if not liters:
        return ""
    text = f", {water_amount(told.site, liters)} in all"
    net = net_volume(told.tank.shape)
    if net is None or liters < _TANKS * net.net_l:
        return text
    return f"{text}: as much as the tank holds {round(liters / net.net_l)} times"


def _ranges(session: Session, told: TankSnapshot, start: datetime) -> dict[Quantity, str]:
    """From where to where each quantity went, by what it could have been."""
    rows = session.execute(
        select(
            Reading.quantity,
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
    found = {row[0]: (row[1], row[2]) for row in rows}
    return {
        quantity: _from_to(quantity, *found[quantity.value], told)
        for quantity in Quantity
        if quantity.value in found
    }


def _from_to(quantity: Quantity, low: float, high: float, told: TankSnapshot) -> str:
    if low == high:
        return value_text(quantity, low, told.site)
    return range_text(quantity, low, high, told.site)


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


def in_short(finding: str) -> str:
    """What a chart found, without how that is known: "It is going up."."""
    return f"{re.split('[:;] ', finding)[0].rstrip('.')}."


def _charts(session: Session, told: TankSnapshot, start: datetime) -> tuple[tuple[str, Chart], ...]:
    drawn = []
    for quantity, heading in DRAWN.items():
        chart = trends.chart(session, told.tank.id, quantity, None, now=told.as_of, since=start)
        if chart.series.count >= _LEAST_DRAWN:
            drawn.append((heading, chart))
    return tuple(drawn)
