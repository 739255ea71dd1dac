"""Free ammonia: the share of the total ammonia that harms fish, and two outside yardsticks.

A kit measures total ammonia (TAN). How much of it is the free form NH3 follows from pH and
temperature. All results are "about": the equation is for water without salts and reads up to
10 % high in hard tap water, and a pH read 0.1 too high already adds a quarter.
"""

from __future__ import annotations

from app.science.bounds import FloatOrArray, require_within
from app.science.elementwise import at_least, smaller
from app.science.units import KELVIN_AT_0_C

PKA_RANGE_C = (0.0, 50.0)
PH_SCALE = (0.0, 14.0)
EPA_RANGE_C = (0.0, 30.0)
EPA_RANGE_PH = (6.5, 9.0)


def pka(temperature_c: FloatOrArray) -> FloatOrArray:
    """Negative logarithm of the dissociation constant of ammonium in fresh water.

    Args:
        temperature_c: Water temperature in °C, 0 to 50; any shape.

    Returns:
        pKa, dimensionless: the pH at which half of the total ammonia is free.

    Raises:
        ValueError: If a temperature lies outside the range of the fit.

    Source:
        Emerson, Russo, Lund and Thurston (1975), J. Fish. Res. Board Can. 32, 2379-2383.
    """
    require_within("temperature_c", temperature_c, *PKA_RANGE_C)
    return 0.09018 + 2729.92 / (temperature_c + KELVIN_AT_0_C)


def unionized_fraction(ph: FloatOrArray, temperature_c: FloatOrArray) -> FloatOrArray:
    """Share of the total ammonia that is free (un-ionized) NH3, in fresh water.

    Args:
        ph: pH at the temperature of the tank, 0 to 14 (the published tables cover 6 to 10);
            any shape.
        temperature_c: Water temperature in °C, 0 to 50; same shape.

    Returns:
        Fraction from 0 to 1; NaN where an input is NaN.

    Raises:
        ValueError: If a temperature lies outside the fit or a pH off the scale.

    Source:
        Emerson et al. (1975), as ``pka``.
    """
    require_within("ph", ph, *PH_SCALE)
    share: FloatOrArray = 1.0 / (1.0 + 10.0 ** (pka(temperature_c) - ph))
    return share


def unionized_mg_per_l(
    tan_mg_per_l: FloatOrArray, ph: FloatOrArray, temperature_c: FloatOrArray
) -> FloatOrArray:
    """Free ammonia from a total-ammonia reading.

    Args:
        tan_mg_per_l: Total ammonia in mg/L as N, at least 0; any shape.
        ph: pH at the time and temperature of the ammonia reading, 0 to 14; same shape.
        temperature_c: Water temperature in °C, 0 to 50; same shape.

    Returns:
        Free ammonia in mg/L on the basis of the input: NH3 as N from total ammonia as N.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Emerson et al. (1975), as ``pka``.
    """
    require_within("tan_mg_per_l", tan_mg_per_l, 0.0)
    return tan_mg_per_l * unionized_fraction(ph, temperature_c)


def unionized_range(  # noqa: PLR0917  # three intervals, each low end first
    tan_low: float, tan_high: float, ph_low: float, ph_high: float, t_low: float, t_high: float
) -> tuple[float, float]:
    """Least and most free ammonia that three readings with steps leave possible.

    Free ammonia rises with each of the three, so that the ends of the intervals bound it.

    Args:
        tan_low: Lowest possible total ammonia, mg/L as N, at least 0.
        tan_high: Highest possible total ammonia, mg/L as N; infinite above the last color.
        ph_low: Lowest possible pH, 0 to 14.
        ph_high: Highest possible pH, 0 to 14.
        t_low: Lowest possible water temperature, °C, 0 to 50.
        t_high: Highest possible water temperature, °C, 0 to 50.

    Returns:
        Lowest and highest free ammonia in mg/L as N.

    Raises:
        ValueError: If an interval is upside down or a value lies outside its range.
    """
    for name, low, high in (
        ("tan", tan_low, tan_high),
        ("ph", ph_low, ph_high),
        ("t", t_low, t_high),
    ):
        if low > high:
            raise ValueError(f"{name}_low must not be above {name}_high")
    return unionized_mg_per_l(tan_low, ph_low, t_low), unionized_mg_per_l(tan_high, ph_high, t_high)


def total_for_unionized_mg_per_l(
    unionized_mg_per_l: FloatOrArray, ph: FloatOrArray, temperature_c: FloatOrArray
) -> FloatOrArray:
    """Total ammonia of which so much is free: undoes ``unionized_mg_per_l``.

    Args:
        unionized_mg_per_l: Free ammonia in mg/L as N, at least 0; any shape.
        ph: pH, 0 to 14; same shape.
        temperature_c: Water temperature in °C, 0 to 50; same shape.

    Returns:
        Total ammonia in mg/L as N.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Emerson et al. (1975), as ``pka``.
    """
    require_within("unionized_mg_per_l", unionized_mg_per_l, 0.0)
    return unionized_mg_per_l / unionized_fraction(ph, temperature_c)


def epa2013_chronic(ph: FloatOrArray, temperature_c: FloatOrArray) -> FloatOrArray:
    """Chronic (30-day mean) criterion of the US EPA for total ammonia in wild fresh waters.

    Background only, never a limit for a tank: mussels and snails set it. Compare it with total
    ammonia; it depends on pH and temperature already.

    Args:
        ph: pH, 6.5 to 9.0; any shape.
        temperature_c: Water temperature in °C, 0 to 30; same shape.

    Returns:
        Criterion in mg/L of total ammonia as N.

    Raises:
        ValueError: If a value lies outside the published tables.

    Source:
        US EPA (2013), EPA 822-R-13-001.
    """
    _require_epa_range(ph, temperature_c)
    at_ph = _two_sided(ph, midpoint=7.688, acid_side=1.1994, base_side=0.0278)
    warmth = 2.126 * 10.0 ** (0.028 * (20.0 - at_least(temperature_c, 7.0)))
    criterion: FloatOrArray = 0.8876 * at_ph * warmth
    return criterion


def epa2013_acute(
    ph: FloatOrArray, temperature_c: FloatOrArray, salmonids: bool = False
) -> FloatOrArray:
    """Acute (one-hour mean) criterion of the US EPA for total ammonia in wild fresh waters.

    Background only, never a limit for a tank. Compare it with total ammonia.

    Args:
        ph: pH, 6.5 to 9.0; any shape.
        temperature_c: Water temperature in °C, 0 to 30; same shape.
        salmonids: Whether trout and their kin are present.

    Returns:
        Criterion in mg/L of total ammonia as N.

    Raises:
        ValueError: If a value lies outside the published tables.

    Source:
        US EPA (2013), EPA 822-R-13-001.
    """
    _require_epa_range(ph, temperature_c)
    at_ph = 0.7249 * _two_sided(ph, midpoint=7.204, acid_side=1.6181, base_side=0.0114)
    warmth = 23.12 * 10.0 ** (0.036 * (20.0 - temperature_c))
    ceiling = at_ph * 51.93
    if salmonids:
        ceiling = _two_sided(ph, midpoint=7.204, acid_side=39.0, base_side=0.275)
    criterion: FloatOrArray = smaller(ceiling, at_ph * warmth)
    return criterion


def _two_sided(
    ph: FloatOrArray, *, midpoint: float, acid_side: float, base_side: float
) -> FloatOrArray:
    """The pH term of the criteria: from one plateau to the other around the midpoint."""
    term: FloatOrArray = base_side / (1.0 + 10.0 ** (midpoint - ph)) + acid_side / (
        1.0 + 10.0 ** (ph - midpoint)
    )
    return term


def _require_epa_range(ph: FloatOrArray, temperature_c: FloatOrArray) -> None:
    require_within("ph", ph, *EPA_RANGE_PH)
    require_within("temperature_c", temperature_c, *EPA_RANGE_C)
