"""Heat: density of water, what a tank loses, what a heater must give, how fast a tank cools.

What the glass, the base and the cover let through is derived and not measured on tanks: trust it to
a quarter. Two thermometer readings after a heater stopped say more about a tank than its sizes do.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from app.science.bounds import FloatOrArray, require_above_zero, require_within
from app.science.oxygen import vapor_pressure_atm

DENSITY_RANGE_C = (0.0, 40.0)
WATER_WH_PER_L_C = 1.163
"""One kilocalorie per liter and °C; at 18 to 30 °C within 0.7 % of the exact figure."""

KPA_PER_ATM = 101.325
LATENT_HEAT_J_PER_KG = 2.442e6
"""At 25 °C; steam tables."""
SECONDS_PER_DAY = 86400.0

CM2_PER_M2 = 10_000.0

GLASS_W_PER_M2_C = 7.0
"""6 to 10 mm of glass (1.0 W/(m K)) between water (100 W/(m2 K)) and still air (0.13 m2 K/W)."""
BASE_W_PER_M2_C = 2.0
"""Glass floor on foam and wood; derived, weak."""
OPEN_SURFACE_W_PER_M2_C = 10.0
"""Convection and radiation upward: resistance 0.10 m2 K/W of ISO 6946."""
COVER_W_PER_M2_C = 4.5
"""Closed glass cover over an air gap; derived, half as much either way."""

_UNDISTURBED = 0.74
_STILL_AIR_W_PER_M2_KPA = 89.0
_MOVING_AIR_W_PER_M2_KPA = 78.2


@dataclass(frozen=True, slots=True)
class HeatLoss:
    """What a tank loses to its room, in watts; negative where the room warms it."""

    glass_w: float
    base_w: float
    surface_w: float
    evaporation_w: float

    @property
    def total_w(self) -> float:
        """All of it: what a heater must give, less what pumps and lights give already."""
        return self.glass_w + self.base_w + self.surface_w + self.evaporation_w


def water_density_kg_per_m3(temperature_c: FloatOrArray) -> FloatOrArray:
    """Density of fresh water at one atmosphere.

    Args:
        temperature_c: Water temperature in °C, 0 to 40; any shape.

    Returns:
        Density in kg/m3.

    Raises:
        ValueError: If a temperature lies outside the range.

    Source:
        Tanaka, Girard, Davis, Peuto and Bignell (2001), Metrologia 38, 301-309.
    """
    require_within("temperature_c", temperature_c, *DENSITY_RANGE_C)
    from_densest = (temperature_c - 3.983035) ** 2
    return 999.974950 * (
        1.0 - from_densest * (temperature_c + 301.797) / (522528.9 * (temperature_c + 69.34881))
    )


def evaporation_w_per_m2(
    water_c: float, room_c: float, relative_humidity: float, air_speed_m_per_s: float = 0.0
) -> float:
    """Heat that evaporation takes from a quiet open surface.

    Args:
        water_c: Water temperature, °C, 0 to 40.
        room_c: Room temperature, °C, 0 to 40.
        relative_humidity: Of the room air, as a share, 0 to 1.
        air_speed_m_per_s: Air speed at the surface, at least 0.

    Returns:
        Heat flux in W/m2, never negative: damp warm air over cold water counts as no evaporation.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Smith, Löf and Jones (1998), ASHRAE Trans. 104(1): 0.74 times the handbook form for pools.
    """
    require_within("relative_humidity", relative_humidity, 0.0, 1.0)
    require_within("air_speed_m_per_s", air_speed_m_per_s, 0.0)
    lacking_kpa = KPA_PER_ATM * (
        vapor_pressure_atm(water_c) - relative_humidity * vapor_pressure_atm(room_c)
    )
    per_kpa = _UNDISTURBED * (
        _STILL_AIR_W_PER_M2_KPA + _MOVING_AIR_W_PER_M2_KPA * air_speed_m_per_s
    )
    flux = per_kpa * lacking_kpa
    return flux if math.isnan(flux) else max(flux, 0.0)


def evaporation_mm_per_day(
    water_c: float, room_c: float, relative_humidity: float, air_speed_m_per_s: float = 0.0
) -> float:
    """Fall of the water line by evaporation from a quiet open surface.

    Takes the arguments and refuses the values of ``evaporation_w_per_m2``.

    Returns:
        Millimeters per day (1 mm is 1 kg of water per square meter).
    """
    flux = evaporation_w_per_m2(water_c, room_c, relative_humidity, air_speed_m_per_s)
    return flux * SECONDS_PER_DAY / LATENT_HEAT_J_PER_KG


def heat_loss(
    *,
    glass_m2: float,
    base_m2: float,
    surface_m2: float,
    water_c: float,
    room_c: float,
    relative_humidity: float,
    covered: bool,
) -> HeatLoss:
    """What a tank loses at a steady temperature, by its areas.

    Args:
        glass_m2: Walls wetted by water, in square meters, at least 0.
        base_m2: Floor, at least 0.
        surface_m2: Water surface, at least 0.
        water_c: Water temperature, °C, 0 to 40.
        room_c: Room temperature, °C, 0 to 40: the coldest hour counts for a heater.
        relative_humidity: Of the room air, as a share, 0 to 1; of no weight under a cover.
        covered: Whether a closed cover lies on the tank; then nothing is counted as evaporated.

    Returns:
        The parts of the loss in watts.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Heat transfer through plane layers (ISO 6946) and ``evaporation_w_per_m2``.
    """
    for name, area_m2 in (("glass_m2", glass_m2), ("base_m2", base_m2), ("surface_m2", surface_m2)):
        require_within(name, area_m2, 0.0)
    warmer_c = water_c - room_c
    evaporation_w = surface_m2 * evaporation_w_per_m2(water_c, room_c, relative_humidity)
    return HeatLoss(
        glass_w=GLASS_W_PER_M2_C * glass_m2 * warmer_c,
        base_w=BASE_W_PER_M2_C * base_m2 * warmer_c,
        surface_w=(COVER_W_PER_M2_C if covered else OPEN_SURFACE_W_PER_M2_C)
        * surface_m2
        * warmer_c,
        evaporation_w=0.0 if covered else evaporation_w,
    )


def box_areas_m2(length_cm: float, width_cm: float, depth_cm: float) -> tuple[float, float]:
    """Areas of a box by its inner measures: its wetted walls, and its floor or surface.

    Args:
        length_cm: Length in cm, at least 0.
        width_cm: Front to back in cm, at least 0.
        depth_cm: Depth of the water in cm, at least 0.

    Returns:
        All four walls up to the water line, and the floor, in square meters.

    Raises:
        ValueError: If a measure is negative.
    """
    for name, cm in (("length_cm", length_cm), ("width_cm", width_cm), ("depth_cm", depth_cm)):
        require_within(name, cm, 0.0)
    walls_cm2 = 2.0 * (length_cm + width_cm) * depth_cm
    return walls_cm2 / CM2_PER_M2, length_cm * width_cm / CM2_PER_M2


def heater_size_w(loss_w: float, margin: float, step_w: float) -> float:
    """Heater to buy for a loss: with a margin, and up to the next full step.

    Args:
        loss_w: Largest loss in watts; below 0 counts as none.
        margin: Times the loss, at least 1; 1.5 is common.
        step_w: Steps in which heaters are counted, in watts, above 0.

    Returns:
        Power in watts, a multiple of ``step_w``; NaN from NaN.

    Raises:
        ValueError: If a value lies outside its range.
    """
    require_within("margin", margin, 1.0)
    require_above_zero("step_w", step_w)
    if math.isnan(loss_w):
        return math.nan
    return math.ceil(round(max(loss_w, 0.0) * margin / step_w, 9)) * step_w


def energy_kwh_per_day(power_w: float) -> float:
    """Energy that a mean power takes in 24 hours, in kWh."""
    return power_w * 24.0 / 1000.0


def warming_power_w(volume_l: float, rise_c: float, hours: float) -> float:
    """Power that warms water in a given time, besides what is lost meanwhile.

    Args:
        volume_l: Net water volume in liters, at least 0.
        rise_c: Rise in °C, at least 0.
        hours: Time in hours, above 0.

    Returns:
        Power in watts.

    Raises:
        ValueError: If a value lies outside its range.
    """
    require_within("volume_l", volume_l, 0.0)
    require_within("rise_c", rise_c, 0.0)
    require_above_zero("hours", hours)
    return WATER_WH_PER_L_C * volume_l * rise_c / hours


def cooled_c(start_c: float, room_c: float, hours: float, time_constant_h: float) -> float:
    """Temperature of a tank some hours after its heater stopped.

    Args:
        start_c: Temperature at the start, °C.
        room_c: Room temperature, °C, steady.
        hours: Time since, at least 0.
        time_constant_h: From ``time_constant_h``, above 0.

    Returns:
        Temperature in °C.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Newton's law of cooling.
    """
    require_within("hours", hours, 0.0)
    require_above_zero("time_constant_h", time_constant_h)
    return room_c + (start_c - room_c) * math.exp(-hours / time_constant_h)


def time_constant_h(start_c: float, later_c: float, room_c: float, hours: float) -> float:
    """Time constant of a tank from two readings while nothing heats it.

    Args:
        start_c: First reading, °C.
        later_c: Second reading, °C, strictly between the first one and the room.
        room_c: Room temperature, °C, steady between the readings.
        hours: Time between the readings, above 0.

    Returns:
        Hours in which the difference to the room shrinks to 37 %.

    Raises:
        ValueError: If the tank did not move toward the room, or the time is not above 0.

    Source:
        Newton's law of cooling.
    """
    require_above_zero("hours", hours)
    if math.isnan(start_c + later_c + room_c):
        return math.nan
    if not min(start_c, room_c) < later_c < max(start_c, room_c):
        raise ValueError("later_c must lie between start_c and room_c")
    return hours / math.log((start_c - room_c) / (later_c - room_c))


def hours_to_reach(start_c: float, target_c: float, room_c: float, time_constant_h: float) -> float:
    """Hours until a tank without heat has come to a temperature.

    Args:
        start_c: Temperature at the start, °C.
        target_c: Temperature looked out for, °C.
        room_c: Room temperature, °C, steady.
        time_constant_h: From ``time_constant_h``, above 0.

    Returns:
        Hours; 0 where it is there already or beyond it, infinite where the room is not that far.

    Raises:
        ValueError: If ``time_constant_h`` is not above 0.

    Source:
        Newton's law of cooling.
    """
    require_above_zero("time_constant_h", time_constant_h)
    if math.isnan(start_c + target_c + room_c):
        return math.nan
    if start_c == room_c:
        return 0.0 if target_c == start_c else math.inf
    share_left = (target_c - room_c) / (start_c - room_c)
    if share_left >= 1.0:
        return 0.0
    return -time_constant_h * math.log(share_left) if share_left > 0.0 else math.inf


def loss_w_per_c(volume_l: float, time_constant_h: float) -> float:
    """Watts that a tank loses per °C above the room, from how it cooled.

    Args:
        volume_l: Net water volume in liters, at least 0; glass and sand are left out, so that the
            true loss is a little larger.
        time_constant_h: From ``time_constant_h``, above 0.

    Returns:
        W/°C.

    Raises:
        ValueError: If a value lies outside its range.
    """
    require_within("volume_l", volume_l, 0.0)
    require_above_zero("time_constant_h", time_constant_h)
    return WATER_WH_PER_L_C * volume_l / time_constant_h


def held_c(power_w: float, loss_w_per_c: float, room_c: float) -> float:
    """Warmest temperature that a heater can hold in a room.

    Args:
        power_w: Power of the heater in watts, at least 0.
        loss_w_per_c: From ``loss_w_per_c``, above 0.
        room_c: Room temperature, °C.

    Returns:
        Temperature in °C.

    Raises:
        ValueError: If a value lies outside its range.
    """
    require_within("power_w", power_w, 0.0)
    require_above_zero("loss_w_per_c", loss_w_per_c)
    return room_c + power_w / loss_w_per_c


def holding_power_w(target_c: float, room_c: float, loss_w_per_c: float) -> float:
    """Mean power that holds a temperature; a heater needs about half as much again.

    Args:
        target_c: Temperature to hold, °C.
        room_c: Room temperature, °C.
        loss_w_per_c: From ``loss_w_per_c``, at least 0.

    Returns:
        Power in watts; 0 where the room is as warm.

    Raises:
        ValueError: If ``loss_w_per_c`` is negative.
    """
    require_within("loss_w_per_c", loss_w_per_c, 0.0)
    power_w = (target_c - room_c) * loss_w_per_c
    return power_w if math.isnan(power_w) else max(power_w, 0.0)
