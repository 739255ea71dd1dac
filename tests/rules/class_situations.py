"""Situations in which the rules of meals, breaks and a class speak, for tests of their texts."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, time

from app.domain.kit import Equipment
from app.domain.outlook import OxygenOutlook
from app.domain.quantities import Quantity
from app.domain.records import StockEventKind
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Break, Setback, Site
from tests.situations import (
    NEW_YORK,
    SCHOOL,
    SHAPE,
    calm,
    fed,
    metered,
    reading,
    snapshot,
    stock,
    tank,
    warm,
)

FRIDAY = "2027-02-12 12:00"
CLASS = tank(setting="class")


def away(first: date, last: date, name: str = "the winter break") -> Site:
    """The school with a break."""
    gone = Break(first_day=first, last_day=last, name=name)
    return Site(name="S", zone=NEW_YORK, present_weekdays=SCHOOL.present_weekdays, breaks=(gone,))


def break_that_fails() -> TankSnapshot:
    """Ten days before a break of 17 days: 4 mm dry up each day, 50 W in a room of 12 °C."""
    warm_tank = tank(
        shape=replace(SHAPE, heater_line_cm=32.0), set_point_c=25.0, coldest_room_c=12.0,
        food_protein_percent=45.0, scoop_grams=0.12,
    )  # fmt: skip
    return snapshot(
        FRIDAY,
        *calm(FRIDAY),
        reading(Quantity.WATER_LEVEL, 8.0, FRIDAY),  # two days after the change
        reading(Quantity.NITRATE, 24.0, "2027-02-11 12:00"),
        site=away(date(2027, 2, 22), date(2027, 3, 8)),
        tank=warm_tank,
        equipment=(Equipment(id=1, kind="heater", name="Heater", watts=50.0),),
    )


def building_that_cools() -> TankSnapshot:
    """A heater of 25 W in a school that is heated less by night."""
    nights = Setback(weekdays=frozenset(range(5)), starts=time(17), ends=time(6), room_c=12.0)
    return snapshot(
        FRIDAY,
        *calm(FRIDAY),
        site=replace(SCHOOL, setbacks=(nights,)),
        tank=tank(set_point_c=25.0, cover="closed"),
        equipment=(Equipment(id=1, kind="heater", name="Heater", watts=25.0),),
    )


def class_situations() -> Iterator[TankSnapshot]:
    """Each of these rules speaks in at least one of them."""
    came = stock(StockEventKind.ARRIVED, "2027-02-10 12:00", 3)
    for named in (CLASS, tank(setting="class", adult="Ms. Hill")):
        yield snapshot(FRIDAY, *calm(FRIDAY), tank=named)
        yield snapshot(FRIDAY, came, tank=named)
    for first, final in ((15, 19), (22, 26), (11, 28)):
        site = away(date(2027, 2, first), date(2027, 2, final), "")
        yield snapshot(FRIDAY, *calm(FRIDAY), came, site=site)
    yield break_that_fails()
    yield building_that_cools()
    left = [fed(f"2027-02-{d:02d} 08:00", left_over=True, grams=0.9) for d in range(1, 13)]
    yield snapshot(FRIDAY, *left)
    names = ("Otter", "Finch", "Newt", "Hare")
    twice = [
        fed(f"2027-02-{d:02d} 08:{m}", by=names[d % 4]) for d in range(8, 12) for m in (10, 15)
    ]
    yield snapshot(FRIDAY, *twice, tank=CLASS)
    for value in (29.0, 31.5):
        yield snapshot(FRIDAY, warm(value, FRIDAY), *metered(FRIDAY, ammonia=1.0, nitrite=0.5))
        yield snapshot(FRIDAY, fed("2027-02-12 08:00"), warm(value, FRIDAY))
    lit = tank(light_on="08:00", light_hours=9.0)
    night = OxygenOutlook(low=3.0, best=4.5, high=6.0)
    yield snapshot("2027-02-12 16:00", fed("2027-02-12 15:30"), tank=lit, oxygen=night)
