"""What the oxygen of a day rests on: each number with its ends and where it comes from."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from app.domain.calendar import local_day
from app.domain.measures import net_volume, surface_cm2
from app.domain.quantities import Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot, last
from app.domain.wording import short
from app.estimates.bodies import Mass, group_mass
from app.estimates.food import grams_a_day, protein_of
from app.estimates.missing import ANIMALS, MEASURES
from app.estimates.model import CLOCK, Input, Origin, exact
from app.estimates.warmth import target_of
from app.knowledge.model import Knowledge
from app.science.bounds import clipped
from app.science.metabolism import MASS_EXPONENT, Q10, routine_oxygen_mg_per_h
from app.science.nitrogen import ammonia_n_mg
from app.science.oxygen import (
    ALTITUDE_RANGE_M,
    SATURATION_RANGE_C,
    oxygen_used_by_nitrification_mg,
    pressure_from_altitude_atm,
    saturation_mg_per_l,
)
from app.science.oxygen_day import MOST_EXCHANGES_PER_HOUR, OxygenDay

AMOUNTS: Final = ("none", "sparse", "moderate", "dense")
SURFACES: Final = {
    "oily": "surface.oily",
    "still": "surface.still",
    "moving": "surface.moving",
    "rippled": "surface.rippled",
}
AT_C: Final = 25.0
"""What animals, plants and the bed use is known at this temperature."""
_AT_BEST: Final = (
    "The range takes the best guess: more plants make more by day and use more by night."
)
_CM2_PER_M2: Final = 10_000.0
_MG_PER_G: Final = 1000.0
_HOURS: Final = 24.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """What somebody would like to try instead of what the record says; None: as it says.

    `surface` is one of `SURFACES`; `air_l_per_min` what air stones bring; `plants_g` dry mass.
    """

    surface: str | None = None
    air_l_per_min: float | None = None
    celsius: float | None = None
    plants_g: float | None = None
    grams: float | None = None
    light_hours: float | None = None


def missing_of(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[str, ...]:
    """What must be written before anything can be estimated."""
    water, surface = net_volume(snapshot.tank.shape), surface_cm2(snapshot.tank.shape)
    lengths = [group_mass(group, knowledge) for group in snapshot.groups if group.count]
    missing = [] if water is not None and surface is not None else [MEASURES]
    if any(mass is None for mass in lengths):
        missing.append(ANIMALS)
    return tuple(missing)


def inputs_of(
    snapshot: TankSnapshot, knowledge: Knowledge, what_if: WhatIf, velocity: Input | None = None
) -> tuple[Input, ...]:
    """All inputs by name. `velocity` is the one that was fitted.

    Raises:
        ValueError: If the tank has no measures; see `missing_of`.
    """
    water, surface = net_volume(snapshot.tank.shape), surface_cm2(snapshot.tank.shape)
    if water is None or surface is None:
        raise ValueError(f"unknown: {MEASURES}")
    bed_m2 = surface / _CM2_PER_M2
    return (
        exact("volume", "Water in the tank", water.net_l, "L", origin=Origin.WRITTEN),
        exact(
            "area",
            "Free surface",
            _free_m2(surface, snapshot, knowledge),
            "m²",
            origin=Origin.WRITTEN,
            decimals=3,
        ),
        exact(
            "bed",
            "Sand bed",
            bed_m2 if snapshot.tank.shape.sand_front_cm else 0.0,
            "m²",
            origin=Origin.WRITTEN,
            decimals=3,
        ),
        temperature_now(snapshot, knowledge, what_if.celsius),
        _velocity(knowledge, what_if, velocity),
        _air(snapshot, knowledge, what_if),
        _fish(snapshot, knowledge),
        _active(knowledge),
        _plants(snapshot, knowledge, what_if, bed_m2),
        _dark(knowledge),
        _grams(snapshot, knowledge, what_if),
        protein_of(snapshot, knowledge),
        *_lamp(snapshot, knowledge, what_if),
    )


def day_of(values: Mapping[str, float], snapshot: TankSnapshot, knowledge: Knowledge) -> OxygenDay:
    """The balance of a day from the inputs by name."""
    celsius, number = clipped(values["temperature"], *SATURATION_RANGE_C), knowledge.value
    warmer = celsius - AT_C
    dark = values["dark"] * number("night.dark-per-degree") ** warmer
    hours = values["light_hours"]
    growth = number("plants.growth") / 100.0 * number("night.made") * _MG_PER_G
    nitrogen = ammonia_n_mg(values["grams"], values["protein"] / 100.0)
    bed = number("night.bed") * number("night.bed-per-degree") ** warmer * _MG_PER_G / _HOURS
    height = clipped(snapshot.site.elevation_m or 0.0, *ALTITUDE_RANGE_M)
    exchange = values["velocity"] * values["area"] * _MG_PER_G
    exchange += values["air"] * number("surface.air-stone")
    return OxygenDay(
        volume_l=values["volume"],
        saturation=float(saturation_mg_per_l(celsius, pressure_from_altitude_atm(height))),
        exchange_l_per_h=min(exchange, MOST_EXCHANGES_PER_HOUR * values["volume"]),
        made=(growth + _HOURS * dark) / hours * values["plants"] if hours else 0.0,
        plants=dark * values["plants"],
        fish=values["fish"] * values["active"] * Q10 ** (warmer / 10.0),
        bacteria=oxygen_used_by_nitrification_mg(nitrogen) / _HOURS + rotting(values, knowledge),
        bed=bed * values["bed"],
        light_on_h=values["light_on"],
        light_hours=hours,
        meals=_meals(values["grams"], snapshot, knowledge),
    )


def rotting(values: Mapping[str, float], knowledge: Knowledge) -> float:
    """Oxygen that leftovers use, with or without a filter, in mg per hour."""
    return knowledge.value("night.rotting") * values["grams"] * _MG_PER_G / _HOURS


def dark_between(start: datetime, end: datetime, inputs: Mapping[str, float], zone: str) -> bool:
    """Whether the lamp is off from one moment to another, by its planned hours."""
    if not timedelta(0) < end - start < timedelta(days=1):
        return False
    lamp_off = (inputs["light_on"] + inputs["light_hours"]) % _HOURS
    dark_h = _HOURS - inputs["light_hours"]
    since = (hour_of(start, zone) - lamp_off) % _HOURS
    return since + (end - start).total_seconds() / 3600.0 <= dark_h


def hour_of(moment: datetime, zone: str) -> float:
    """The hour of the tank's local day as a number."""
    local = moment.astimezone(ZoneInfo(zone))
    return local.hour + local.minute / 60.0


def _free_m2(surface_cm2: float, snapshot: TankSnapshot, knowledge: Knowledge) -> float:
    floats = any(p.floating and not p.removed and p.amount != "none" for p in snapshot.plants)
    covered = knowledge.value("surface.floating") / 100.0 if floats else 0.0
    return surface_cm2 / _CM2_PER_M2 * (1.0 - covered)


def temperature_now(snapshot: TankSnapshot, knowledge: Knowledge, typed_c: float | None) -> Input:
    """The temperature: as typed, else of the last days, else as it is to be."""
    title, latest = "Temperature", snapshot.latest(Quantity.TEMPERATURE)
    if typed_c is not None:
        return exact("temperature", title, typed_c, "°C", origin=Origin.TYPED)
    if latest is not None and days_since(latest, snapshot) <= knowledge.value("night.reading-days"):
        return Input(
            name="temperature", title=title, low=latest.best, best=latest.best, high=latest.best,
            unit="°C", origin=Origin.MEASURED, at=latest.at,
        )  # fmt: skip
    return replace(target_of(snapshot, knowledge), name="temperature", title=title)


def days_since(reading: Reading, snapshot: TankSnapshot) -> int:
    """Local days since a reading: by days, so that an estimate holds until midnight."""
    return (snapshot.today - local_day(reading.at, snapshot.site.zone)).days


def _velocity(knowledge: Knowledge, what_if: WhatIf, fitted: Input | None) -> Input:
    if fitted is not None and what_if.surface is None:
        return fitted
    number = knowledge.numbers[SURFACES[what_if.surface or "moving"]]
    return Input(
        name="velocity", title="How much the surface moves",
        low=number.value * knowledge.value("surface.low"), best=number.value,
        high=number.value * knowledge.value("surface.high"), unit="m/h", decimals=3,
        origin=Origin.ASSUMED if what_if.surface is None else Origin.TYPED,
        note=number.note, source=number.source,
    )  # fmt: skip


def _air(snapshot: TankSnapshot, knowledge: Knowledge, what_if: WhatIf) -> Input:
    title = "Air from a pump"
    if what_if.air_l_per_min is not None:
        return exact("air", title, what_if.air_l_per_min, "L/min", origin=Origin.TYPED)
    pumps = [e for e in snapshot.equipment if e.kind == "air_pump" and e.retired_on is None]
    if not pumps:
        return exact("air", title, 0.0, "L/min", origin=Origin.WRITTEN)
    each = knowledge.value("surface.pump-air")
    return exact("air", title, each * len(pumps), "L/min", origin=Origin.ASSUMED)


def _fish(snapshot: TankSnapshot, knowledge: Knowledge) -> Input:
    use = 0.0
    for group in snapshot.groups:
        mass = group_mass(group, knowledge) if group.count else None
        if mass is not None:
            use += group.count * routine_oxygen_mg_per_h(mass.best / group.count, AT_C)
    spread = knowledge.value("body.spread") / 100.0
    return Input(
        name="fish", title="What the animals use at rest, at 25 °C",
        low=use * (1.0 - spread) ** MASS_EXPONENT, best=use,
        high=use * (1.0 + spread) ** MASS_EXPONENT, unit="mg/h", origin=Origin.CATALOGUE,
        note="From how long they are.", source="clarke-johnston-1999",
    )  # fmt: skip


def _active(knowledge: Knowledge) -> Input:
    return _between(
        "active", "How lively they are", knowledge, "night.active-low", "night.active",
        "night.active-high",
    )  # fmt: skip


def _dark(knowledge: Knowledge) -> Input:
    return _between(
        "dark", "What plants use in the dark, at 25 °C", knowledge, "night.dark-low", "night.dark",
        "night.dark-high",
    )  # fmt: skip


def _between(name: str, title: str, knowledge: Knowledge, *keys: str) -> Input:
    """An assumed number with both its ends, by the keys of low, best and high."""
    low, best, high = (knowledge.numbers[key] for key in keys)
    return Input(
        name=name, title=title, low=low.value, best=best.value, high=high.value, unit=best.unit,
        decimals=2, origin=Origin.ASSUMED, note=best.note, source=best.source,
    )  # fmt: skip


def _plants(snapshot: TankSnapshot, knowledge: Knowledge, what_if: WhatIf, bed_m2: float) -> Input:
    title = "Plants, dry"
    if what_if.plants_g is not None:
        return exact("plants", title, what_if.plants_g, "g", origin=Origin.TYPED)
    standing = [p for p in snapshot.plants if not p.removed]
    if not standing:
        return exact("plants", title, 0.0, "g", origin=Origin.WRITTEN)
    densest = max(standing, key=lambda p: AMOUNTS.index(p.amount)).amount
    if densest == AMOUNTS[0]:
        return exact("plants", title, 0.0, "g", origin=Origin.WRITTEN)
    best, at = knowledge.value(f"plants.{densest}"), AMOUNTS.index(densest)
    low = knowledge.value(f"plants.{AMOUNTS[at - 1]}") if at > 1 else 0.0
    high = knowledge.value(f"plants.{AMOUNTS[min(at + 1, len(AMOUNTS) - 1)]}")
    return Input(
        name="plants", title=title, low=low * bed_m2, best=best * bed_m2, high=high * bed_m2,
        unit="g", origin=Origin.ASSUMED, note=f"A {densest} bed of plants. {_AT_BEST}",
    )  # fmt: skip


def _grams(snapshot: TankSnapshot, knowledge: Knowledge, what_if: WhatIf) -> Input:
    title = "Food in a day"
    if what_if.grams is not None:
        return exact("grams", title, what_if.grams, "g", origin=Origin.TYPED, decimals=2)
    written = grams_a_day(snapshot, knowledge)
    if written is not None:
        return exact("grams", title, written, "g", origin=Origin.WRITTEN, decimals=2)
    kept = sum(mass.best for mass in _masses(snapshot, knowledge))
    percent = knowledge.value("feeding.most-percent") / 2.0
    usual = kept * percent / 100.0
    return Input(
        name="grams", title=title, low=usual / 2.0, best=usual, high=usual * 2.0, unit="g",
        decimals=2, origin=Origin.ASSUMED, note=f"{short(percent)} % of what the animals weigh.",
    )  # fmt: skip


def _lamp(snapshot: TankSnapshot, knowledge: Knowledge, what_if: WhatIf) -> tuple[Input, Input]:
    tank = snapshot.tank
    if tank.light_on:
        at = time.fromisoformat(tank.light_on)
        start = exact(
            "light_on", "Lamp on at", at.hour + at.minute / 60.0, CLOCK, origin=Origin.WRITTEN
        )
    else:
        usual = knowledge.value("night.light-from")
        start = exact("light_on", "Lamp on at", usual, CLOCK, origin=Origin.ASSUMED)
    title, hours = "Hours of light", tank.light_hours
    if what_if.light_hours is not None:
        return start, exact("light_hours", title, what_if.light_hours, "h", origin=Origin.TYPED)
    if hours is not None:
        return start, exact("light_hours", title, hours, "h", origin=Origin.WRITTEN)
    usual = knowledge.value("night.light-hours")
    return start, exact("light_hours", title, usual, "h", origin=Origin.ASSUMED)


def _masses(snapshot: TankSnapshot, knowledge: Knowledge) -> list[Mass]:
    found = (group_mass(group, knowledge) for group in snapshot.groups if group.count)
    return [mass for mass in found if mass is not None]


def _meals(
    grams: float, snapshot: TankSnapshot, knowledge: Knowledge
) -> tuple[tuple[float, float], ...]:
    """The meal of the day at the hour of the last one, with how much it raises what fish use."""
    meal = last(snapshot.feedings)
    kept = sum(mass.best for mass in _masses(snapshot, knowledge))
    if meal is None or not kept or not grams:
        return ()
    percent = 100.0 * grams / kept
    part = min(percent * knowledge.value("night.meal-part"), knowledge.value("night.meal-most"))
    return ((hour_of(meal.happened_at, snapshot.site.zone), part),)
