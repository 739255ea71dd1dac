"""Before the pour: how much a planned water change is, and how warm the new water must be."""

from dataclasses import dataclass
from datetime import timedelta

from app.domain.measures import fall_cm, fall_l, net_volume
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.tank import TankShape
from app.knowledge.load import load
from app.science.dilution import lowest_new_water_c, mixing_temperature
from app.science.units import liters_from_us_gallons


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangePlan:
    """The planned share in liters and centimeters; None where a measure is missing.

    `lowest_new_c` is the coldest new water that lets the tank fall by `allowed_drop_c` at most.
    """

    percent: float
    allowed_drop_c: float
    net_l: float | None = None
    liters: float | None = None
    level_cm: float | None = None
    tank_c: float | None = None
    lowest_new_c: float | None = None


@dataclass(frozen=True, slots=True)
class ColdWater:
    """New water that is much colder than the tank: by how much, and where the tank would end."""

    colder_c: float
    mixed_c: float | None


def plan_of(snapshot: TankSnapshot) -> ChangePlan:
    """The water change that the care plan asks for, worked out for this tank."""
    shape, percent = snapshot.tank.shape, snapshot.tank.plan.water_change_percent
    drop = load().value("change.cool")
    tank_c = tank_temperature(snapshot)
    volume = net_volume(shape)
    if volume is None:
        return ChangePlan(percent=percent, tank_c=tank_c, allowed_drop_c=drop)
    liters = volume.net_l * percent / 100.0
    lowest = None
    if tank_c is not None:
        lowest = lowest_new_water_c(tank_c, volume.net_l - liters, liters, drop)
    return ChangePlan(
        percent=percent,
        net_l=volume.net_l,
        liters=liters,
        level_cm=fall_cm(shape, liters),
        tank_c=tank_c,
        lowest_new_c=lowest,
        allowed_drop_c=drop,
    )


def tank_temperature(snapshot: TankSnapshot) -> float | None:
    """The tank's temperature in °C, if somebody read it lately enough to say so."""
    latest = snapshot.latest(Quantity.TEMPERATURE)
    keeps = timedelta(hours=load().value("change.temperature-hours"))
    if latest is None or snapshot.age_of(latest.at) > keeps:
        return None
    return latest.best


def liters_of_level(shape: TankShape, level_cm: float) -> float | None:
    """Liters in so many centimeters of level; None where that cannot be told."""
    return fall_l(shape, level_cm)


def liters(amount: float | None, unit: str) -> float | None:
    """An amount typed in "L" or "gal" (US gallons) as liters; None stays None."""
    if amount is None or unit != "gal":
        return amount
    return liters_from_us_gallons(amount)


def cold_water(
    snapshot: TankSnapshot, new_c: float, new_l: float | None, tank_c: float | None = None
) -> ColdWater | None:
    """What to ask before much colder water goes in, or None when there is nothing to ask.

    Args:
        snapshot: The tank.
        new_c: The new water in °C.
        new_l: How much of it, in liters; None when nobody said.
        tank_c: The tank's temperature, if it was typed on the same page.
    """
    known_c = tank_temperature(snapshot) if tank_c is None else tank_c
    if known_c is None or known_c - new_c <= load().value("change.colder"):
        return None
    volume = net_volume(snapshot.tank.shape)
    mixed = None
    if volume is not None and new_l is not None and new_l <= volume.net_l:
        mixed = mixing_temperature(known_c, volume.net_l - new_l, new_c, new_l)
    return ColdWater(known_c - new_c, mixed)
