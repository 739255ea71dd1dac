"""Situations for tests: plain records with sane defaults, so that a test names what matters.

`snapshot("2027-02-01 08:05", look(...), fed(...), reading(...))` sorts what it gets into the
right places, oldest first. Times are wall-clock times of the tank's zone.
"""

from dataclasses import replace
from datetime import date, datetime, timedelta
from itertools import count
from typing import Any

from app.domain.calendar import local_day, wall_time
from app.domain.kit import Kit
from app.domain.livestock import StockGroup
from app.domain.quantities import Quantity
from app.domain.records import (
    Entry,
    Feeding,
    Job,
    JobKind,
    Observation,
    Reading,
    StockEvent,
    StockEventKind,
    WaterTest,
)
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site, Tank, TankShape

NEW_YORK = "America/New_York"
SCHOOL = Site(name="Meadow School", zone=NEW_YORK, present_weekdays=frozenset(range(5)))
HOME = Site(name="Home", zone=NEW_YORK)
# inside 78 by 34 cm, water 36 cm, sand 5 cm, solids 2.5 L: 85.0 L net, worked by hand
SHAPE = TankShape(
    length_cm=78,
    width_cm=34,
    rim_cm=40,
    water_depth_cm=36,
    sand_front_cm=5,
    sand_back_cm=5,
    displacement_l=2.5,
)
SHOAL = (
    StockGroup(id=1, name="Small shoal", count=10),
    StockGroup(id=2, name="Bottom group", count=6, band="bottom"),
)
TANK = Tank(
    id=1,
    name="Brook",
    shape=SHAPE,
    started_on=date(2025, 9, 1),
    mature_on=date(2025, 11, 15),
)
MATTERING = {
    Quantity.AMMONIA: 0.0,
    Quantity.NITRITE: 0.0,
    Quantity.NITRATE: 20.0,
    Quantity.PH: 7.4,
}

_ids = count(1)

Thing = Entry | Reading | Kit


def at(text: str, zone: str = NEW_YORK, *, later: bool = False) -> datetime:
    """A wall-clock time such as "2027-02-01 08:05" as UTC."""
    return wall_time(datetime.fromisoformat(text), zone, later=later)


def _head(when: str | datetime, zone: str = NEW_YORK) -> dict[str, Any]:
    moment = when if isinstance(when, datetime) else at(when, zone)
    return {
        "id": next(_ids),
        "happened_at": moment,
        "local_day": local_day(moment, zone),
        "recorded_at": moment,
        "author": "Otter",
    }


def fed(
    when: str | datetime, by: str = "Otter", scoops: float | None = 1.0, **more: Any
) -> Feeding:
    """A meal of one scoop."""
    return Feeding(**{**_head(when), "done_by": by, "scoops": scoops, **more})


def look(when: str | datetime, seen: int | None = None, **more: Any) -> Observation:
    """A look at the tank, with or without a count."""
    return Observation(**{**_head(when), "seen": seen, **more})


def job(what: JobKind, when: str | datetime, **more: Any) -> Job:
    """A job."""
    return Job(**{**_head(when), "job": what, **more})


def stock(what: StockEventKind, when: str | datetime, number: int = 1, **more: Any) -> StockEvent:
    """A change in a group."""
    head = {**_head(when), "by_adult": True, "what": what, "group_id": 1, "count": number}
    return StockEvent(**{**head, **more})


def water_test(when: str | datetime) -> WaterTest:
    """The entry on which readings hang."""
    return WaterTest(**_head(when))


def reading(quantity: Quantity, value: float | None, when: str | datetime, **more: Any) -> Reading:
    """A reading; give `low` and `high` for a color card."""
    moment = when if isinstance(when, datetime) else at(when)
    fields = {"id": next(_ids), "entry_id": next(_ids), "at": moment, "value": value}
    return Reading(**{**fields, "quantity": quantity, **more})


def warm(value: float, when: str | datetime, **more: Any) -> Reading:
    """A temperature in °C."""
    return reading(Quantity.TEMPERATURE, value, when, **more)


def metered(when: str | datetime, **values: float) -> tuple[Reading, ...]:
    """Readings of one test with meters: `metered(now, nitrate=20, ph=7.4)`."""
    entry = next(_ids)
    return tuple(
        reading(Quantity(name), value, when, entry_id=entry) for name, value in values.items()
    )


def tank(**more: Any) -> Tank:
    """The grown-up tank with changes."""
    return replace(TANK, **more)


def calm(now: str, *, zone: str = NEW_YORK) -> tuple[Thing, ...]:
    """All that makes a tank Steady at `now`: looked, fed, tested, changed, rinsed."""
    moment = at(now, zone)
    hour, day = timedelta(hours=1), timedelta(days=1)
    return (
        look(moment - hour / 4, 16, expected=16, breathing_calm=True),
        fed(moment - hour / 4),
        warm(25.0, moment - hour / 4),
        *(reading(q, v, moment - 2 * day) for q, v in MATTERING.items()),
        job(JobKind.WATER_CHANGE, moment - 2 * day, liters_out=21.3, liters_in=21.3),
        job(JobKind.FILTER_RINSE, moment - 10 * day),
        job(JobKind.SIPHON, moment - 2 * day),
        job(JobKind.GLASS, moment - 2 * day),
        job(JobKind.LIGHT_TIMER, moment - hour),
    )


def snapshot(now: str, *things: Thing, **more: Any) -> TankSnapshot:
    """A tank as of a moment; `site`, `tank` and `groups` may be given."""
    site: Site = more.pop("site", SCHOOL)

    def of(kind: type) -> tuple[Any, ...]:
        found = [t for t in things if isinstance(t, kind)]
        return tuple(sorted(found, key=lambda t: getattr(t, "happened_at", None) or t.at))

    return TankSnapshot(
        as_of=at(now, site.zone),
        site=site,
        tank=more.pop("tank", TANK),
        groups=more.pop("groups", SHOAL),
        kits=tuple(t for t in things if isinstance(t, Kit)),
        feedings=of(Feeding),
        tests=of(WaterTest),
        jobs=of(Job),
        stock_events=of(StockEvent),
        observations=of(Observation),
        readings=of(Reading),
        **more,
    )
