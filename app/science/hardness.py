"""Hardness (GH, calcium and magnesium) and alkalinity (KH, the acid that water can bind).

Both are written in the same units, as if they were dissolved lime. GH counts ions of charge two,
so that its natural unit is mmol/L; KH counts charges, so that its natural unit is meq/L, and
1 mmol/L is 2 meq/L. KH may be larger than GH: neither is a part of the other.
"""

from __future__ import annotations

from enum import StrEnum

from app.science.bounds import FloatOrArray, require_within
from app.science.units import LITERS_PER_IMPERIAL_GALLON, LITERS_PER_US_GALLON

# g/mol, from the abridged standard atomic weights (IUPAC 2021)
MOLAR_MASS_CACO3 = 100.086
MOLAR_MASS_CAO = 56.077
MOLAR_MASS_CA = 40.078
MOLAR_MASS_MG = 24.305

_MG_PER_GRAIN = 64.79891


class HardnessUnit(StrEnum):
    """A unit in which hardness or alkalinity is written."""

    MG_PER_L_CACO3 = "mg/L as CaCO3"
    GERMAN_DEGREE = "German degree"
    """1 dGH or 1 dKH: 10 mg/L as CaO."""
    MMOL_PER_L = "mmol/L"
    """Calcium and magnesium ions; for hardness."""
    MEQ_PER_L = "meq/L"
    """Charges; for alkalinity."""
    GRAIN_PER_US_GALLON = "grain per US gallon"
    FRENCH_DEGREE = "French degree"
    """10 mg/L as CaCO3."""
    ENGLISH_DEGREE = "English degree"
    """1 grain as CaCO3 in 1 imperial gallon."""


MG_PER_L_CACO3_PER_UNIT = {
    HardnessUnit.MG_PER_L_CACO3: 1.0,
    HardnessUnit.GERMAN_DEGREE: 10.0 * MOLAR_MASS_CACO3 / MOLAR_MASS_CAO,
    HardnessUnit.MMOL_PER_L: MOLAR_MASS_CACO3,
    HardnessUnit.MEQ_PER_L: MOLAR_MASS_CACO3 / 2.0,
    HardnessUnit.GRAIN_PER_US_GALLON: _MG_PER_GRAIN / LITERS_PER_US_GALLON,
    HardnessUnit.FRENCH_DEGREE: 10.0,
    HardnessUnit.ENGLISH_DEGREE: _MG_PER_GRAIN / LITERS_PER_IMPERIAL_GALLON,
}


def convert(value: FloatOrArray, unit: HardnessUnit, to: HardnessUnit) -> FloatOrArray:
    """Write a hardness or an alkalinity in another unit.

    Args:
        value: Hardness or alkalinity in ``unit``, at least 0; any shape.
        unit: The unit of ``value``.
        to: The unit wanted.

    Returns:
        The same amount in the unit wanted.

    Raises:
        ValueError: If a value is negative.

    Source:
        Definitions of the units (the German degree as in DIN 38409-6).
    """
    require_within("value", value, 0.0)
    return value * (MG_PER_L_CACO3_PER_UNIT[unit] / MG_PER_L_CACO3_PER_UNIT[to])


def dgh_from_ions(calcium_mg_per_l: FloatOrArray, magnesium_mg_per_l: FloatOrArray) -> FloatOrArray:
    """General hardness from the calcium and magnesium of a water report.

    Args:
        calcium_mg_per_l: Calcium as the ion, mg/L, at least 0; any shape.
        magnesium_mg_per_l: Magnesium as the ion, mg/L, at least 0; same shape.

    Returns:
        Hardness in German degrees (dGH).

    Raises:
        ValueError: If a value is negative.

    Source:
        Definition: the sum of both ions in mmol/L.
    """
    require_within("calcium_mg_per_l", calcium_mg_per_l, 0.0)
    require_within("magnesium_mg_per_l", magnesium_mg_per_l, 0.0)
    mmol_per_l = calcium_mg_per_l / MOLAR_MASS_CA + magnesium_mg_per_l / MOLAR_MASS_MG
    return convert(mmol_per_l, HardnessUnit.MMOL_PER_L, HardnessUnit.GERMAN_DEGREE)


def meq_per_l_from_dkh(kh_dkh: FloatOrArray) -> FloatOrArray:
    """Alkalinity in meq/L from KH in German degrees, at least 0 (divide by about 2.80)."""
    return convert(kh_dkh, HardnessUnit.GERMAN_DEGREE, HardnessUnit.MEQ_PER_L)
