"""Situations in which the rules of jobs, filter and arrivals speak, for tests of their texts."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta

from app.domain.kit import Kit, KitComparison
from app.domain.livestock import Plant
from app.domain.maturing import Stage, StageReached
from app.domain.outlook import OxygenOutlook
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Rinse, Sign, StockEventKind, Treated
from app.domain.snapshot import TankSnapshot
from tests.situations import HOME, at, fed, job, look, metered, reading, snapshot, stock, tank, warm

NOW = "2027-02-12 12:00"
YOUNG = tank(started_on=date(2027, 1, 2), mature_on=None)


def _ago(days: float) -> datetime:
    return at(NOW) - timedelta(days=days)


def care_situations() -> Iterator[TankSnapshot]:
    """Each of these rules speaks in at least one of them."""
    yield from _growing()
    yield from _filter()
    yield from _water()
    yield from _kits()
    old = [fed(_ago(400)), look(_ago(390), 16)]
    plants = (Plant(id=1, name="Stem plant"),)
    yield snapshot(NOW, *old, plants=plants, site=HOME)
    yield snapshot(
        NOW, *old, *(job(k, _ago(300)) for k in JobKind), plants=plants, tank=tank(setting="class")
    )
    calm = [r for n in range(6) for r in metered(_ago(7 * n), ammonia=0.0, nitrite=0.0)]
    yield snapshot(NOW, *calm, *old)
    yield snapshot(NOW, look(_ago(60)), stock(StockEventKind.ARRIVED, _ago(5), 14))
    yield snapshot(NOW, stock(StockEventKind.DIED, _ago(1)), job(JobKind.TREATMENT, _ago(2)))


def _growing() -> Iterator[TankSnapshot]:
    for reached in Stage:
        stages = (StageReached(reached, date(2027, 2, 11)),)
        yield snapshot(NOW, tank=YOUNG, stages=stages, groups=())
        yield snapshot(NOW, warm(15.0, NOW), tank=YOUNG, stages=stages)
    stuck = [r for d in (15, 10, 5, 0) for r in metered(_ago(d), ammonia=2.0, nitrite=2.0, ph=6.0)]
    yield snapshot(NOW, *stuck, tank=YOUNG)
    answers = (
        look(_ago(1), signs=(Sign.FILTER_SLOW,)),
        job(JobKind.WATER_CHANGE, _ago(1), treated=Treated.NO),
        job(JobKind.MEDIA_REPLACED, _ago(1), media_share=1.0),
        job(JobKind.TREATMENT, _ago(1)),
        reading(Quantity.NITRITE, None, _ago(0), low=5.0),
        reading(Quantity.KH, 2.0, _ago(0)),
        warm(17.0, NOW),
    )
    yield snapshot(NOW, *stuck, *answers, tank=YOUNG)
    yield snapshot(NOW, *(reading(Quantity.NITRITE, 0.4, _ago(d)) for d in (0.5, 0.0)))
    start = date(2027, 2, 9)
    came = stock(StockEventKind.ARRIVED, "2027-02-10 12:00", 16)
    yield snapshot(NOW, came, tank=tank(started_on=start, mature_on=None))
    yield snapshot(NOW, came, tank=tank(started_on=None, mature_on=None))


def _filter() -> Iterator[TankSnapshot]:
    oxygen = OxygenOutlook(low=3.0, best=4.0, high=5.0, outage_low_h=3.0, outage_high_h=7.0)
    stopped = look(_ago(0.05), signs=(Sign.FILTER_OFF,))
    yield snapshot(NOW, stopped, oxygen=oxygen)
    yield snapshot(NOW, look(_ago(1), signs=(Sign.FILTER_OFF,)), look(_ago(0), plug_on=False))
    yield snapshot(NOW, look(_ago(1), plug_on=False))
    yield snapshot(NOW, *(look(_ago(d), signs=(Sign.FILTER_SLOW,)) for d in (1, 0)))
    yield snapshot(NOW, job(JobKind.FILTER_RINSE, _ago(60), rinse=Rinse.TAP))
    yield snapshot(NOW, job(JobKind.MEDIA_REPLACED, _ago(1), media_share=1.0))


def _water() -> Iterator[TankSnapshot]:
    for liters, celsius in ((30.0, 15.0), (None, 30.0), (60.0, None)):
        change = job(JobKind.WATER_CHANGE, _ago(0.1), liters_out=liters, new_water_c=celsius)
        yield snapshot(NOW, warm(25.0, _ago(0.15)), change)
    moved = (warm(25.0, _ago(0.12)), warm(22.0, _ago(0.05)))
    change = job(JobKind.WATER_CHANGE, _ago(0.1), liters_out=20.0)
    yield snapshot(NOW, *moved, change)
    us = HOME.__class__(name="H", zone=HOME.zone, fahrenheit=True, us_gallons=True)
    yield snapshot(NOW, *moved, change, site=us)
    low = [reading(Quantity.NITRATE, 5.0, _ago(d)) for d in (3, 1)]
    yield snapshot(NOW, *low, job(JobKind.WATER_CHANGE, _ago(12), liters_out=22.0))
    fills = [job(JobKind.TOP_UP, _ago(d), liters_in=9.0) for d in (1, 0)]
    yield snapshot(NOW, *fills)
    yield snapshot(NOW, *(reading(Quantity.WATER_LEVEL, 15.0, _ago(d)) for d in (1, 0)))


def _kits() -> Iterator[TankSnapshot]:
    card = Kit(id=3, quantity=Quantity.NITRATE, name="Card", unit="mg/L")
    off = KitComparison(id=1, kit_id=3, at=_ago(1), known=20.0, read=50.0)
    yield snapshot(NOW, card, comparisons=(off,))
    yield snapshot(NOW, replace(card, next_check_on=date(2027, 2, 1)))
    zero = [
        r for n in range(6) for r in metered(_ago(7 * n), ammonia=0.0, nitrite=0.0, nitrate=0.0)
    ]
    yield snapshot(NOW, *zero, fed(_ago(1)))
    same = [reading(Quantity.NITRATE, 20.0, _ago(7 * n)) for n in range(6)]
    meals = [fed(_ago(n + 0.5), scoops=1.0 if n > 17 else 2.0) for n in range(35)]
    yield snapshot(NOW, *same, *meals)
