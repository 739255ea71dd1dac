"""The week or the month in plain words, for families: facts of the tank, nothing of people."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from sqlalchemy.orm import Session

from app.domain.calendar import day_start, somebody_comes
from app.domain.entry_words import STOCK_WORDS
from app.domain.quantities import FACTS, Quantity
from app.domain.records import Job, JobKind, StockEventKind
from app.domain.snapshot import TankSnapshot
from app.domain.wording import (
    count,
    dated,
    full_day,
    in_sentence,
    range_text,
    reading_text,
    value_text,
    water_amount,
)
from app.knowledge.model import Knowledge
from app.rules.breaks import stretch_of
from app.rules.meal import is_feed_day
from app.rules.model import State
from app.services import absences, trends
from app.services.trends import Chart

_DAY: Final = timedelta(days=1)
STATE_LINES: Final = {
    State.STEADY: "All calm. It was looked at, and all is inside our range.",
    State.WATCH: "We keep an eye on it. One thing is outside our range, or old.",
    State.ACT: "There is something to do. It needs a grown-up.",
    State.ACT_NOW: "There is something to do at once. It needs a grown-up.",
    State.DONT_KNOW: "Nobody has looked for a while. So nobody can say.",
}
_TIMES: Final = {1: "once", 2: "twice"}
_SHOWN: Final = (Quantity.NITRATE, Quantity.PH)
_TOLD: Final = frozenset(StockEventKind) - {StockEventKind.MEASURED, StockEventKind.RECOUNTED}


@dataclass(frozen=True, slots=True, kw_only=True)
class Digest:
    """What a family reads: no name and no hour of a person, no note, no loss that was not told.

    `first` to `last` are local days, both included. `ahead` is the coming break, or "".
    """

    tank: str
    site: str
    first: date
    last: date
    sentences: tuple[str, ...]
    animals: tuple[str, ...]
    ahead: str
    chart: Chart | None


def digest(session: Session, snapshot: TankSnapshot, knowledge: Knowledge, *, days: int) -> Digest:
    """The last `days` of a tank, its day included; animals and losses as pupils know them."""
    told = snapshot.for_pupils()
    return Digest(
        tank=told.tank.name,
        site=told.site.name,
        first=told.today - _DAY * (days - 1),
        last=told.today,
        sentences=sentences(told, days),
        animals=tuple(f"{g.count} {g.name}" for g in told.groups if g.count > 0),
        ahead=ahead(told),
        chart=_chart(session, told, knowledge),
    )


def sentences(snapshot: TankSnapshot, days: int) -> tuple[str, ...]:
    """What happened in so many days, in short sentences of facts."""
    first = snapshot.today - _DAY * (days - 1)
    return tuple(
        sentence
        for part in (_meals, _looks, _warmth, _changes, _tests, _animals)
        for sentence in part(snapshot, first)
    )


def _days(snapshot: TankSnapshot, first: date) -> Iterator[date]:
    return (first + _DAY * n for n in range((snapshot.today - first).days + 1))


def _meals(snapshot: TankSnapshot, first: date) -> Iterator[str]:
    fed = {f.local_day for f in snapshot.feedings if f.local_day >= first}
    # a meal of this day may still come
    asked = {
        day
        for day in _days(snapshot, first)
        if is_feed_day(snapshot, day) and (day < snapshot.today or day in fed)
    }
    if asked:
        yield f"Fed on {len(asked & fed)} of {count(len(asked), 'day', 'days')} with food planned."
    if more := len(fed - asked):
        yield f"Fed on {count(more, 'more day', 'more days')}."


def _looks(snapshot: TankSnapshot, first: date) -> Iterator[str]:
    looked = {o.local_day for o in snapshot.observations if o.local_day >= first}
    here = {
        day
        for day in _days(snapshot, first)
        if somebody_comes(snapshot.site, day) and (day < snapshot.today or day in looked)
    }
    if here:
        yield f"Somebody looked on {len(looked & here)} of {count(len(here), 'day', 'days')}."


def _warmth(snapshot: TankSnapshot, first: date) -> Iterator[str]:
    quantity, site = Quantity.TEMPERATURE, snapshot.site
    since = day_start(first, site.zone)
    read = [r.best for r in snapshot.between(quantity, since, snapshot.as_of)]
    if not read:
        yield "Nobody read the thermometer."
    elif min(read) == max(read):
        yield f"The water was {value_text(quantity, read[0], site)} warm."
    else:
        yield f"The water was {range_text(quantity, min(read), max(read), site)} warm."


def _changes(snapshot: TankSnapshot, first: date) -> Iterator[str]:
    changes = [j for j in snapshot.jobs_of(JobKind.WATER_CHANGE) if j.local_day >= first]
    if not changes:
        yield "Water was not changed."
        return
    times = _TIMES.get(len(changes), f"{len(changes)} times")
    yield f"Water was changed {times}{_amount(changes, snapshot)}."


def _amount(changes: list[Job], snapshot: TankSnapshot) -> str:
    liters = [j.liters_out for j in changes if j.liters_out is not None]
    if len(liters) < len(changes):
        return ""
    all_of_it = " in all" if len(changes) > 1 else ""
    return f", {water_amount(snapshot.site, sum(liters))}{all_of_it}"


def _tests(snapshot: TankSnapshot, first: date) -> Iterator[str]:
    since = day_start(first, snapshot.site.zone)
    for quantity in _SHOWN:
        read = snapshot.between(quantity, since, snapshot.as_of)
        if read:
            label = FACTS[quantity].label
            yield f"{label}, last test: {reading_text(read[-1], snapshot.site)}."


def _animals(snapshot: TankSnapshot, first: date) -> Iterator[str]:
    found: Counter[tuple[str, str]] = Counter()
    for event in snapshot.stock_events:
        if event.local_day >= first and event.what in _TOLD:
            found[event.group_name, STOCK_WORDS[event.what]] += event.count
    for (name, what), number in found.items():
        yield f"{number} {name} {what}."


def ahead(snapshot: TankSnapshot) -> str:
    """The coming break, and whether visits are arranged; "" where none is written."""
    found = absences.coming(snapshot)
    if not found:
        return ""
    near = found[0]
    stretch = stretch_of(snapshot.site, near.away)
    name = near.away.name or "The break"
    visits = "Visits are arranged." if near.arranged else "Visits are not arranged yet."
    return (
        f"{name}: {full_day(near.away.first_day)} to {dated(near.away.last_day)}. "
        f"Nobody is meant to be there for {count(stretch.days, 'day', 'days')}. {visits}"
    )


def _chart(session: Session, snapshot: TankSnapshot, knowledge: Knowledge) -> Chart | None:
    """The pupils' chart of the month: nitrate where it was tested twice, else warmth."""
    days = int(knowledge.value("sharing.month"))
    since = snapshot.as_of - _DAY * days
    for quantity, least in ((Quantity.NITRATE, 2), (Quantity.TEMPERATURE, 1)):
        if len(snapshot.between(quantity, since, snapshot.as_of)) >= least:
            return trends.chart(session, snapshot.tank.id, quantity, days, now=snapshot.as_of)
    return None


def chart_name(chart: Chart) -> str:
    """What a chart is of, inside a sentence."""
    return in_sentence(FACTS[chart.series.quantity].label)
