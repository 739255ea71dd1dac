"""Mass, oxygen use and ration of small fish, from their length.

All are means over many species: mass is good to about 40 %, oxygen use to about a third.
"""

from __future__ import annotations

from app.science.bounds import FloatOrArray, require_above_zero, require_within

METABOLISM_RANGE_C = (10.0, 35.0)

O2_MG_PER_H_AT_1_G_25_C = 0.449
MASS_EXPONENT = 0.80
Q10 = 2.1
"""Factor of oxygen use per 10 °C within one species, between published 1.83 and 2.40."""

O2_MG_PER_MG_FEED = 1.25
"""Oxygen that all use in the end for a mass of dry feed."""


def mass_g(length_cm: FloatOrArray, a: float, b: float) -> FloatOrArray:
    """Mass of a fish from its length.

    Args:
        length_cm: Total length, tail included, in centimeters, above 0; any shape.
        a: Coefficient of the species or of its body shape, in g and cm, above 0.
        b: Exponent, published 2.5 to 3.5.

    Returns:
        Mass in grams.

    Raises:
        ValueError: If a value lies outside its range, such as a coefficient for millimeters.

    Source:
        Froese (2006), J. Appl. Ichthyol. 22, 241-253, for the form and the span of ``b``.
    """
    require_above_zero("length_cm", length_cm)
    require_above_zero("a", a)
    require_within("b", b, 2.5, 3.5)
    mass: FloatOrArray = a * length_cm**b
    return mass


def routine_oxygen_mg_per_h(mass_g: FloatOrArray, temperature_c: FloatOrArray) -> FloatOrArray:
    """Oxygen that one resting fish uses; a group that moves about uses some 15 % more.

    Args:
        mass_g: Mass of one fish in grams, above 0; any shape. The masses of several fish must not
            be added first: small ones use more per gram.
        temperature_c: Water temperature in °C, 10 to 35; same shape.

    Returns:
        Oxygen in mg per hour and fish.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Clarke and Johnston (1999), J. Anim. Ecol. 68, 893-905: mean of teleosts at 25 °C, moved
        to other temperatures by ``Q10``.
    """
    require_above_zero("mass_g", mass_g)
    require_within("temperature_c", temperature_c, *METABOLISM_RANGE_C)
    use: FloatOrArray = (
        O2_MG_PER_H_AT_1_G_25_C * mass_g**MASS_EXPONENT * Q10 ** ((temperature_c - 25.0) / 10.0)
    )
    return use


def maintenance_ration_mg_per_day(
    mass_g: FloatOrArray, temperature_c: FloatOrArray
) -> FloatOrArray:
    """Dry feed that balances what one grown fish burns; what it eats is up to its keeper.

    Args:
        mass_g: Mass of one fish in grams, above 0; any shape.
        temperature_c: Water temperature in °C, 10 to 35; same shape.

    Returns:
        Dry feed in mg per day and fish.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Derived: ``routine_oxygen_mg_per_h`` over the oxygen demand of feed (Boyd, 1.25 g per g).
    """
    return routine_oxygen_mg_per_h(mass_g, temperature_c) * 24.0 / O2_MG_PER_MG_FEED
