"""Oxygen: how much water holds in balance with the air, and how fast the surface renews it.

Saturation is the balance with air, not a ceiling: plants take a tank above it by day. The exchange
at the surface is known to an order of magnitude only; show no decimals of what follows from it.
"""

from __future__ import annotations

import math

from app.science.bounds import FloatOrArray, require_above_zero, require_within
from app.science.elementwise import exp
from app.science.units import KELVIN_AT_0_C, MOLAR_MASS_N

SATURATION_RANGE_C = (0.0, 40.0)
SATURATION_RANGE_ATM = (0.5, 1.1)
SALINITY_RANGE_G_PER_KG = (0.0, 40.0)
ALTITUDE_RANGE_M = (-500.0, 5000.0)

MOLAR_MASS_O2 = 31.998
LITERS_PER_M3 = 1000.0

_MOST_STEPS = 100
_ROUNDING_MG_PER_L = 1e-9

TRANSFER_PER_C = 1.024
"""Factor of the transfer velocity per °C (Elmore and West 1961, and general practice)."""


def vapor_pressure_atm(temperature_c: FloatOrArray) -> FloatOrArray:
    """Pressure of water vapor over fresh water, where the air is damp to saturation.

    Args:
        temperature_c: Temperature in °C, 0 to 40; any shape.

    Returns:
        Pressure in atm.

    Raises:
        ValueError: If a temperature lies outside the range.

    Source:
        Benson and Krause (1980), Limnol. Oceanogr. 25, 662-671.
    """
    require_within("temperature_c", temperature_c, *SATURATION_RANGE_C)
    kelvin = temperature_c + KELVIN_AT_0_C
    return exp(11.8571 - 3840.70 / kelvin - 216961.0 / kelvin**2)


def pressure_from_altitude_atm(altitude_m: FloatOrArray) -> FloatOrArray:
    """Air pressure of the standard atmosphere, for a place without a barometer.

    Weather reports give pressure reduced to sea level: that is not the pressure of a place.

    Args:
        altitude_m: Height above sea level in meters, -500 to 5000; any shape.

    Returns:
        Pressure in atm.

    Raises:
        ValueError: If a height lies outside the range.

    Source:
        Standard atmosphere (ISO 2533), lowest layer.
    """
    require_within("altitude_m", altitude_m, *ALTITUDE_RANGE_M)
    pressure_atm: FloatOrArray = (1.0 - 2.25577e-5 * altitude_m) ** 5.25588
    return pressure_atm


def saturation_mg_per_l(
    temperature_c: FloatOrArray, pressure_atm: float = 1.0, salinity_g_per_kg: float = 0.0
) -> FloatOrArray:
    """Oxygen in water in balance with damp air.

    Args:
        temperature_c: Water temperature in °C, 0 to 40; any shape.
        pressure_atm: Air pressure at the place itself in atm, 0.5 to 1.1.
        salinity_g_per_kg: Salt in g per kg of water, 0 to 40; 1 g/kg lowers the result by 0.6 %.

    Returns:
        Dissolved oxygen in mg/L.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Benson and Krause (1984), Limnol. Oceanogr. 29, 620-632.
    """
    require_within("pressure_atm", pressure_atm, *SATURATION_RANGE_ATM)
    require_within("salinity_g_per_kg", salinity_g_per_kg, *SALINITY_RANGE_G_PER_KG)
    vapor_atm = vapor_pressure_atm(temperature_c)
    kelvin = temperature_c + KELVIN_AT_0_C
    at_one_atm = exp(
        -139.34411
        + 1.575701e5 / kelvin
        - 6.642308e7 / kelvin**2
        + 1.243800e10 / kelvin**3
        - 8.621949e11 / kelvin**4
        - salinity_g_per_kg * (0.017674 - 10.754 / kelvin + 2140.7 / kelvin**2)
    )
    theta = 0.000975 - 1.426e-5 * temperature_c + 6.436e-8 * temperature_c**2
    saturation: FloatOrArray = (
        at_one_atm
        * ((pressure_atm - vapor_atm) / (1.0 - vapor_atm))
        * ((1.0 - theta * pressure_atm) / (1.0 - theta))
    )
    return saturation


def percent_saturation(
    measured_mg_per_l: FloatOrArray,
    temperature_c: FloatOrArray,
    pressure_atm: float = 1.0,
    salinity_g_per_kg: float = 0.0,
) -> FloatOrArray:
    """A measured oxygen in percent of the balance with air.

    Args:
        measured_mg_per_l: Dissolved oxygen in mg/L, at least 0; any shape.
        temperature_c: Water temperature in °C, 0 to 40; same shape.
        pressure_atm: Air pressure at the place itself in atm, 0.5 to 1.1.
        salinity_g_per_kg: Salt in g per kg of water, 0 to 40.

    Returns:
        Percent; above 100 by day with many plants.

    Raises:
        ValueError: If a value lies outside its range.
    """
    require_within("measured_mg_per_l", measured_mg_per_l, 0.0)
    saturation = saturation_mg_per_l(temperature_c, pressure_atm, salinity_g_per_kg)
    return 100.0 * measured_mg_per_l / saturation


def surface_exchange_per_hour(k_l_m_per_h: float, area_m2: float, volume_l: float) -> float:
    """Share of the lacking oxygen that the surface brings in, per hour.

    Args:
        k_l_m_per_h: Transfer velocity in m/h, at least 0; about 0.01 still, 0.03 when a filter
            keeps the surface moving.
        area_m2: Free water surface in square meters, at least 0.
        volume_l: Net water volume in liters, above 0.

    Returns:
        Exchange rate, 1/h.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Two-film theory of gas transfer, as in textbooks of water-quality engineering.
    """
    require_within("k_l_m_per_h", k_l_m_per_h, 0.0)
    require_within("area_m2", area_m2, 0.0)
    require_above_zero("volume_l", volume_l)
    return k_l_m_per_h * area_m2 * LITERS_PER_M3 / volume_l


def transfer_velocity_m_per_h(k_l_20_m_per_h: FloatOrArray, temperature_c: float) -> FloatOrArray:
    """Transfer velocity of the surface at a temperature, from that at 20 °C.

    Args:
        k_l_20_m_per_h: Transfer velocity at 20 °C in m/h, at least 0; any shape.
        temperature_c: Water temperature in °C, 0 to 40.

    Returns:
        Transfer velocity in m/h, 2.4 % more for each °C.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Elmore and West (1961), J. Sanit. Eng. Div. ASCE 87, 59-71 (pages from memory).
    """
    require_within("k_l_20_m_per_h", k_l_20_m_per_h, 0.0)
    require_within("temperature_c", temperature_c, *SATURATION_RANGE_C)
    warmth: float = TRANSFER_PER_C ** (temperature_c - 20.0)
    return k_l_20_m_per_h * warmth


def air_stone_exchange_per_hour(
    air_l_per_min: float, volume_l: float, k_air_per_l_per_min: float
) -> float:
    """Share of the lacking oxygen that the bubbles of an air stone bring in, per hour.

    Add it to ``surface_exchange_per_hour``, of a surface that the bubbles keep moving.

    Args:
        air_l_per_min: Air through the stone in L/min, at least 0.
        volume_l: Net water volume in liters, above 0.
        k_air_per_l_per_min: Liters of water renewed per hour by 1 L/min of air, at least 0; about
            30, between 15 and 50.

    Returns:
        Exchange rate, 1/h.

    Raises:
        ValueError: If a value lies outside its range.
    """
    require_within("air_l_per_min", air_l_per_min, 0.0)
    require_within("k_air_per_l_per_min", k_air_per_l_per_min, 0.0)
    require_above_zero("volume_l", volume_l)
    return k_air_per_l_per_min * air_l_per_min / volume_l


def after_hours_mg_per_l(
    *,
    start_mg_per_l: float,
    saturation_mg_per_l: float,
    uptake_mg_per_l_h: float,
    exchange_per_hour: float,
    hours: float,
) -> float:
    """Oxygen after hours of steady uptake against a steady exchange with the air.

    Args:
        start_mg_per_l: Oxygen at the start, at least 0.
        saturation_mg_per_l: Saturation at the temperature and the place, above 0.
        uptake_mg_per_l_h: What fish, plants in the dark, filter and sand use, mg/L per hour;
            negative where plants give more than all use.
        exchange_per_hour: From ``surface_exchange_per_hour``, at least 0.
        hours: Time, at least 0.

    Returns:
        Oxygen in mg/L; 0 where more would have been used than there was.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Solution of dC/dt = k (Cs - C) - uptake.
    """
    require_within("start_mg_per_l", start_mg_per_l, 0.0)
    require_within("exchange_per_hour", exchange_per_hour, 0.0)
    require_within("hours", hours, 0.0)
    require_above_zero("saturation_mg_per_l", saturation_mg_per_l)
    # the hours over which a steady gain or loss still counts; all of them without exchange
    effective_h = hours * _mean_of_decay(exchange_per_hour * hours)[0]
    gain = exchange_per_hour * saturation_mg_per_l - uptake_mg_per_l_h
    left = start_mg_per_l * math.exp(-exchange_per_hour * hours) + gain * effective_h
    return left if math.isnan(left) else max(left, 0.0)


def hours_until_line(
    *,
    start_mg_per_l: float,
    line_mg_per_l: float,
    saturation_mg_per_l: float,
    uptake_mg_per_l_h: float,
    exchange_per_hour: float,
) -> float:
    """Hours until oxygen has fallen to a line, as after a power cut.

    Args:
        start_mg_per_l: Oxygen at the start, at least 0.
        line_mg_per_l: The line looked out for, at least 0.
        saturation_mg_per_l: Saturation at the temperature and the place, above 0.
        uptake_mg_per_l_h: What all in the tank use, mg/L per hour, at least 0.
        exchange_per_hour: What the surface brings, 1/h, at least 0.

    Returns:
        Hours; 0 where oxygen is at the line already, infinite where it settles above it.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Solution of dC/dt = k (Cs - C) - uptake.
    """
    require_within("start_mg_per_l", start_mg_per_l, 0.0)
    require_within("line_mg_per_l", line_mg_per_l, 0.0)
    require_within("uptake_mg_per_l_h", uptake_mg_per_l_h, 0.0)
    require_within("exchange_per_hour", exchange_per_hour, 0.0)
    require_above_zero("saturation_mg_per_l", saturation_mg_per_l)
    if start_mg_per_l <= line_mg_per_l:
        return 0.0
    # what is lost at the line itself: none lost there means that it is never crossed
    loss_at_line = uptake_mg_per_l_h - exchange_per_hour * (saturation_mg_per_l - line_mg_per_l)
    if loss_at_line <= 0.0:
        return math.inf
    fall = start_mg_per_l - line_mg_per_l
    if exchange_per_hour == 0.0:
        return fall / loss_at_line
    return math.log1p(exchange_per_hour * fall / loss_at_line) / exchange_per_hour


def exchange_from_readings_per_hour(
    *,
    start_mg_per_l: float,
    later_mg_per_l: float,
    hours: float,
    saturation_mg_per_l: float,
    uptake_mg_per_l_h: float,
) -> float:
    """Exchange with the air that two readings in the dark tell, as of an evening and a morning.

    Args:
        start_mg_per_l: First reading, at least 0, at most the saturation.
        later_mg_per_l: Second reading; from what is left without any exchange to below saturation.
        hours: Dark hours between them, above 0.
        saturation_mg_per_l: Saturation at the temperature and the place, above 0.
        uptake_mg_per_l_h: What fish, plants, filter and sand use, mg/L per hour, at least 0.

    Returns:
        Exchange rate, 1/h; ``transfer_velocity_from_exchange_m_per_h`` turns it into a velocity.

    Raises:
        ValueError: If a value lies outside its range, or no exchange fits the readings.

    Source:
        Solution of dC/dt = k (Cs - C) - uptake, solved for k.
    """
    require_above_zero("hours", hours)
    require_above_zero("saturation_mg_per_l", saturation_mg_per_l)
    require_within("uptake_mg_per_l_h", uptake_mg_per_l_h, 0.0)
    require_within("start_mg_per_l", start_mg_per_l, 0.0, saturation_mg_per_l)
    lacking, used = saturation_mg_per_l - start_mg_per_l, uptake_mg_per_l_h * hours
    gain = later_mg_per_l - start_mg_per_l
    if math.isnan(lacking + used + gain):
        return math.nan
    if gain < -used - _ROUNDING_MG_PER_L or gain >= lacking:
        raise ValueError("no exchange with the air fits these readings")
    # x is exchange times hours. What the air has brought in by then rises with x and bends down,
    # so that Newton's steps from 0 come nearer from one side and never jump past the answer.
    x = 0.0
    for _ in range(_MOST_STEPS):
        mean, bend = _mean_of_decay(x)
        missing = gain - lacking * x * mean + used * mean
        step = missing / (lacking * math.exp(-x) - used * bend)
        x += step
        if step <= 1e-12 * (1.0 + x):
            break
    return max(x, 0.0) / hours


def transfer_velocity_from_exchange_m_per_h(
    exchange_per_hour: float, area_m2: float, volume_l: float
) -> float:
    """Transfer velocity in m/h from an exchange rate in 1/h: undoes ``surface_exchange_per_hour``.

    Raises:
        ValueError: If the rate is negative, or area or volume are not above 0.
    """
    require_within("exchange_per_hour", exchange_per_hour, 0.0)
    require_above_zero("area_m2", area_m2)
    require_above_zero("volume_l", volume_l)
    return exchange_per_hour * volume_l / (area_m2 * LITERS_PER_M3)


def oxygen_used_by_nitrification_mg(n_mg: float) -> float:
    """Oxygen that a filter uses to turn ammonia all the way into nitrate.

    Args:
        n_mg: Ammonia in mg as N, at least 0.

    Returns:
        Oxygen in mg, about 4.57 per mg of N; 5 to 10 % less where the bacteria grow.

    Raises:
        ValueError: If a value is negative.

    Source:
        Stoichiometry: two O2 for each N.
    """
    require_within("n_mg", n_mg, 0.0)
    return n_mg * 2.0 * MOLAR_MASS_O2 / MOLAR_MASS_N


def _mean_of_decay(x: float) -> tuple[float, float]:
    """Mean of exp(-t) over 0 to x, and its slope in x; both by their series where x is small."""
    if x < 1e-4:
        return 1.0 - x / 2.0 + x * x / 6.0, -0.5 + x / 3.0
    mean = -math.expm1(-x) / x
    return mean, (math.exp(-x) - mean) / x
