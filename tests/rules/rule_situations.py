"""Situations in which rules speak that ordinary days do not reach, for scans of every text."""

from collections.abc import Iterator
from datetime import date

from app.domain.kit import Equipment
from app.domain.livestock import StockGroup
from app.domain.outlook import OxygenOutlook
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Sign, Treatment
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Range
from tests.situations import SCHOOL, calm, fed, job, look, metered, reading, snapshot, tank, warm

NOW = "2027-02-12 12:00"
MORNING = "2027-02-12 08:00"
MANY = (StockGroup(id=1, name="Shoal", count=60, species="Paracheirodon axelrodi"),)


def rule_situations() -> Iterator[TankSnapshot]:
    """One or more situations for each rule on gases, hardness, devices, load and leaving."""
    yield from _water()
    yield from _devices()
    for n in range(3):
        heated = tank(set_point_c=(25.0, 19.0, 30.0)[n])
        for value in (22.0, 23.5, 26.5):
            yield snapshot(NOW, *calm(NOW), warm(value, NOW), tank=heated, groups=MANY)
    cold_then_good = (warm(20.0, "2027-02-12 06:00"), warm(25.0, NOW))
    yield snapshot(NOW, *cold_then_good, tank=tank(set_point_c=25.0))
    yield snapshot(NOW, warm(25.0, "2027-02-12 11:00"), warm(26.2, NOW))
    yield snapshot(NOW, warm(25.0, "2027-02-12 11:00"), warm(23.8, NOW))


def _water() -> Iterator[TankSnapshot]:
    for value in (0.5, 1.5, 2.5):
        falling = metered("2027-02-01 12:00", kh=5.0, ph=7.4)
        yield snapshot(NOW, *falling, *metered(NOW, kh=value, ph=6.9))
    ranges = tuple(
        Range(quantity=q, low=low, high=high)
        for q, low, high in ((Quantity.KH, 4.0, None), (Quantity.GH, None, 12.0))
    )
    yield snapshot(NOW, *metered(NOW, kh=3.5, gh=18.0), tank=tank(ranges=ranges))
    both = (Range(quantity=Quantity.GH, low=4.0, high=12.0),)
    yield snapshot(NOW, *metered(NOW, gh=18.0), tank=tank(ranges=both))
    for value in (3.0, 4.5, 5.5):
        yield snapshot(NOW, reading(Quantity.OXYGEN, value, NOW))
        guess = OxygenOutlook(low=value - 1, best=value, high=value + 1)
        yield snapshot(NOW, *calm(NOW), oxygen=guess)
    yield snapshot(NOW, reading(Quantity.CHLORINE, 0.1, NOW))
    yield snapshot(NOW, reading(Quantity.CHLORINE, 0.1, MORNING), look(NOW, signs=(Sign.GASPING,)))
    site = SCHOOL.__class__(name="S", zone=SCHOOL.zone, tap=((Quantity.NITRATE, 10.0),))
    fifty = SCHOOL.__class__(name="S", zone=SCHOOL.zone, tap=((Quantity.NITRATE, 55.0),))
    for grams in (1.2, 3.0):
        meals = [fed(f"2027-02-{d:02d} 08:00", grams=grams) for d in range(1, 13)]
        for where in (site, fifty):
            known = tank(food_protein_percent=45.0)
            yield snapshot(NOW, *meals, site=where, tank=known)
    yield snapshot(NOW, fed(MORNING), *metered(NOW, nitrate=60.0))
    even = [metered(f"2027-01-{d} 12:00", ph=7.4, ammonia=0.0, gh=8.0) for d in (10, 17, 24, 31)]
    history = [each for tube in even for each in tube]
    yield snapshot(NOW, *history, *metered(NOW, ph=6.6, ammonia=1.0, gh=15.0))


def _devices() -> Iterator[TankSnapshot]:
    heater = Equipment(id=1, kind="heater", name="Heater", next_check_on=date(2027, 2, 1))
    old = Equipment(id=2, kind="air_pump", name="", next_check_on=date(2026, 12, 1))
    yield snapshot(NOW, equipment=(heater, old))
    yield snapshot(NOW, look(NOW, algae=2), tank=tank(light_hours=11.0))
    yield snapshot(NOW, look(NOW), tank=tank(light_hours=13.0))
    yield snapshot(NOW, groups=MANY)
    unknown = StockGroup(id=2, name="Surprise", count=1)
    yield snapshot(NOW, groups=(*MANY, unknown), equipment=(old,))
    for carbon, liters, amount in ((None, 106.0, 5.3), (False, 85.0, 9.0)):
        record = Treatment(
            product="Label",
            label_ml=5.0,
            label_l=100.0,
            volume_l=liters,
            amount_ml=amount,
            carbon_out=carbon,
        )
        given = job(JobKind.TREATMENT, MORNING, treatment=record)
        changed = job(JobKind.WATER_CHANGE, NOW, liters_out=21.0)
        yield snapshot(NOW, given, changed)
        dry = tank(shape=tank().shape.__class__(length_cm=78, width_cm=34))
        yield snapshot(NOW, given, changed, tank=dry)
    yield snapshot(NOW, look(NOW, note="We take them to the pond on Friday."))
    yield snapshot(NOW, job(JobKind.STEP, NOW, step="closing.homes"))
    yield snapshot(NOW, groups=())
    yield snapshot(NOW, job(JobKind.STEP, MORNING, step="starting.leak"), groups=())
    yield snapshot(NOW, job(JobKind.STEP, MORNING, step="starting.mat"), groups=())
