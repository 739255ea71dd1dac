"""Carbon dioxide from alkalinity (KH) and pH, and the alkalinity that a filter uses up.

The KH test counts all buffers as carbonate. Peat, wood, phosphate products or acid added lately
make the result read high, so that it is "at most", with one digit.
"""

from __future__ import annotations

import math

from app.science.bounds import FloatOrArray, require_within
from app.science.elementwise import log10
from app.science.hardness import HardnessUnit, convert, meq_per_l_from_dkh
from app.science.units import KELVIN_AT_0_C, MOLAR_MASS_N

CONSTANTS_RANGE_C = (0.0, 50.0)
CO2_RANGE_PH = (6.0, 8.3)
CO2_RANGE_DKH = (1.0, 15.0)
IONIC_STRENGTH_RANGE = (0.0, 0.1)

MOLAR_MASS_CO2 = 44.009
MG_PER_G = 1000.0


def pk1(temperature_c: FloatOrArray) -> FloatOrArray:
    """Negative logarithm of the first dissociation constant of carbonic acid, fresh water.

    Args:
        temperature_c: Water temperature in °C, 0 to 50; any shape.

    Returns:
        pK1, dimensionless, at ionic strength 0.

    Raises:
        ValueError: If a temperature lies outside the range.

    Source:
        Plummer and Busenberg (1982), Geochim. Cosmochim. Acta 46, 1011-1040.
    """
    return _pk(temperature_c, (356.3094, 0.06091964, -21834.37, -126.8339, 1684915.0))


def pk2(temperature_c: FloatOrArray) -> FloatOrArray:
    """Negative logarithm of the second dissociation constant of carbonic acid, fresh water.

    Args:
        temperature_c: Water temperature in °C, 0 to 50; any shape.

    Returns:
        pK2, dimensionless, at ionic strength 0.

    Raises:
        ValueError: If a temperature lies outside the range.

    Source:
        Plummer and Busenberg (1982), as ``pk1``.
    """
    return _pk(temperature_c, (107.8871, 0.03252849, -5151.79, -38.92561, 563713.9))


def pkw(temperature_c: FloatOrArray) -> FloatOrArray:
    """Negative logarithm of the ion product of water.

    Args:
        temperature_c: Water temperature in °C, 0 to 50; any shape.

    Returns:
        pKw, dimensionless, at ionic strength 0.

    Raises:
        ValueError: If a temperature lies outside the range.

    Source:
        The expression that goes with ``pk1`` in public geochemical data bases.
    """
    return _pk(temperature_c, (283.971, 0.05069842, -13323.0, -102.24447, 1119669.0))


def ionic_strength_from_conductivity(conductivity_us_per_cm: FloatOrArray) -> FloatOrArray:
    """Estimate ionic strength in mol/L from conductivity in uS/cm, at least 0.

    Source:
        Rule of thumb of water chemistry textbooks: 1.6e-5 times conductivity.
    """
    require_within("conductivity_us_per_cm", conductivity_us_per_cm, 0.0)
    return 1.6e-5 * conductivity_us_per_cm


def co2_mg_per_l(
    kh_dkh: FloatOrArray,
    ph: FloatOrArray,
    temperature_c: FloatOrArray,
    ionic_strength: float = 0.0,
) -> FloatOrArray:
    """Dissolved carbon dioxide at most, from alkalinity and pH.

    Args:
        kh_dkh: Alkalinity in German degrees, 1 to 15; any shape.
        ph: pH, 6.0 to 8.3; same shape. An error of 0.2 is a factor of 1.6.
        temperature_c: Water temperature in °C, 0 to 50; same shape.
        ionic_strength: In mol/L, 0 to 0.1; 0 reads up to a tenth high in ordinary tap water.

    Returns:
        Dissolved CO2 in mg/L if carbonate is the only buffer; less otherwise.

    Raises:
        ValueError: If a value lies outside its range.

    Source:
        Charge balance of carbonate water with the constants of ``pk1`` and ``pk2``; activities
        after Davies (1962).
    """
    require_within("kh_dkh", kh_dkh, *CO2_RANGE_DKH)
    require_within("ph", ph, *CO2_RANGE_PH)
    require_within("ionic_strength", ionic_strength, *IONIC_STRENGTH_RANGE)
    g1, g2 = (10.0 ** _log_activity(temperature_c, ionic_strength, z) for z in (1, 2))
    h = 10.0**-ph
    first, second, water = (10.0 ** -pk(temperature_c) for pk in (pk1, pk2, pkw))
    alkalinity = meq_per_l_from_dkh(kh_dkh) / 1000.0
    bicarbonate = (alkalinity - water / (h * g1) + h / g1) / (1.0 + 2.0 * second * g1 / (h * g2))
    co2: FloatOrArray = MOLAR_MASS_CO2 * MG_PER_G * h * g1 * bicarbonate / first
    return co2


def alkalinity_used_by_nitrification_dkh(n_mg_per_l: FloatOrArray) -> FloatOrArray:
    """KH that a filter uses to turn ammonia into nitrate.

    Args:
        n_mg_per_l: Ammonia nitrified in mg/L **as N**, at least 0; any shape. Nitrate as the ion
            must be converted first: 10 mg/L of it are 2.26 as N.

    Returns:
        Alkalinity in German degrees, 0.40 per mg/L of N. Planted tanks lose less.

    Raises:
        ValueError: If a value is negative.

    Source:
        Stoichiometry: two acid charges for each N.
    """
    require_within("n_mg_per_l", n_mg_per_l, 0.0)
    return convert(
        2.0 * n_mg_per_l / MOLAR_MASS_N, HardnessUnit.MEQ_PER_L, HardnessUnit.GERMAN_DEGREE
    )


def _pk(
    temperature_c: FloatOrArray, coefficients: tuple[float, float, float, float, float]
) -> FloatOrArray:
    """The common form of the fits: a + b T + c / T + d log10 T + e / T^2, T in kelvin."""
    a, b, c, d, e = coefficients
    require_within("temperature_c", temperature_c, *CONSTANTS_RANGE_C)
    kelvin = temperature_c + KELVIN_AT_0_C
    value: FloatOrArray = a + b * kelvin + c / kelvin + d * log10(kelvin) + e / kelvin**2
    return value


def _log_activity(temperature_c: FloatOrArray, ionic_strength: float, charge: int) -> FloatOrArray:
    """Logarithm (base 10) of the activity coefficient of an ion, after Davies."""
    permittivity = (
        87.740 - 0.40008 * temperature_c + 9.398e-4 * temperature_c**2 - 1.410e-6 * temperature_c**3
    )
    slope = 1.82e6 * (permittivity * (temperature_c + KELVIN_AT_0_C)) ** -1.5
    root = math.sqrt(ionic_strength)
    log_gamma: FloatOrArray = -slope * charge**2 * (root / (1.0 + root) - 0.3 * ionic_strength)
    return log_gamma
