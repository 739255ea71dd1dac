"""Outside references: a published matrix of factors, scipy.constants and molmass."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from molmass import Formula
from scipy import constants  # type: ignore[import-untyped]

from app.science.hardness import HardnessUnit as Unit
from app.science.hardness import convert, dgh_from_ions, meq_per_l_from_dkh

# The matrix of hardness units of a general encyclopedia; it uses CaCO3 = 100.1 g/mol, hence 0.03 %.
PUBLISHED = [
    (Unit.MMOL_PER_L, Unit.GERMAN_DEGREE, 5.608),
    (Unit.MMOL_PER_L, Unit.GRAIN_PER_US_GALLON, 5.847),
    (Unit.MMOL_PER_L, Unit.ENGLISH_DEGREE, 7.022),
    (Unit.MMOL_PER_L, Unit.FRENCH_DEGREE, 10.01),
    (Unit.GRAIN_PER_US_GALLON, Unit.MG_PER_L_CACO3, 17.12),
    (Unit.GRAIN_PER_US_GALLON, Unit.GERMAN_DEGREE, 0.9591),
    (Unit.GERMAN_DEGREE, Unit.MG_PER_L_CACO3, 17.85),
    (Unit.ENGLISH_DEGREE, Unit.MG_PER_L_CACO3, 14.25),
    (Unit.ENGLISH_DEGREE, Unit.GERMAN_DEGREE, 0.7986),
    (Unit.FRENCH_DEGREE, Unit.GERMAN_DEGREE, 0.5603),
]


@pytest.mark.parametrize(("unit", "to", "factor"), PUBLISHED)
def test_published_factors(unit: Unit, to: Unit, factor: float) -> None:
    assert convert(1.0, unit, to) == pytest.approx(factor, rel=3e-4)


def test_a_german_degree_is_ten_mg_of_lime() -> None:
    lime = 10.0 / Formula("CaO").mass  # mmol/L; molmass is an outside table of atomic masses
    assert convert(1.0, Unit.GERMAN_DEGREE, Unit.MMOL_PER_L) == pytest.approx(lime, rel=1e-4)


def test_grains_are_the_defined_ones() -> None:
    us = constants.grain * 1e6 / (constants.gallon_US * 1e3)  # mg/L
    english = constants.grain * 1e6 / (constants.gallon_imp * 1e3)
    assert convert(1.0, Unit.GRAIN_PER_US_GALLON, Unit.MG_PER_L_CACO3) == pytest.approx(us)
    assert convert(1.0, Unit.ENGLISH_DEGREE, Unit.MG_PER_L_CACO3) == pytest.approx(english)


def test_a_grain_is_not_a_degree() -> None:
    # They differ by 4 % and are often swapped.
    grain = convert(1.0, Unit.GRAIN_PER_US_GALLON, Unit.GERMAN_DEGREE)
    assert grain == pytest.approx(0.959, abs=5e-4)


def test_alkalinity_counts_charges_and_hardness_counts_ions() -> None:
    # 1 dH is 0.357 meq/L but 0.178 mmol/L: mixing the two is a factor of two.
    assert meq_per_l_from_dkh(2.8) == pytest.approx(1.0, abs=0.002)
    assert convert(5.61, Unit.GERMAN_DEGREE, Unit.MMOL_PER_L) == pytest.approx(1.0, abs=0.001)
    assert convert(1.0, Unit.MMOL_PER_L, Unit.MEQ_PER_L) == pytest.approx(2.0)


def test_hardness_from_a_water_report() -> None:
    # Standard Methods 2340 B: mg/L as CaCO3 = 2.497 Ca + 4.118 Mg
    expected = convert(2.497 * 60.0 + 4.118 * 12.0, Unit.MG_PER_L_CACO3, Unit.GERMAN_DEGREE)
    assert dgh_from_ions(60.0, 12.0) == pytest.approx(expected, rel=3e-4)


@given(unit=st.sampled_from(Unit), to=st.sampled_from(Unit), value=st.floats(0, 1e4))
def test_there_and_back_again(unit: Unit, to: Unit, value: float) -> None:
    assert convert(convert(value, unit, to), to, unit) == pytest.approx(value, rel=1e-12)


def test_soft_water_is_allowed_and_negative_hardness_is_not() -> None:
    assert convert(0.0, Unit.GERMAN_DEGREE, Unit.MEQ_PER_L) == 0.0
    with pytest.raises(ValueError, match="value must be at least 0"):
        convert(-0.1, Unit.GERMAN_DEGREE, Unit.MEQ_PER_L)
    with pytest.raises(ValueError, match="calcium"):
        dgh_from_ions(-1.0, 1.0)
    with pytest.raises(ValueError, match="magnesium"):
        dgh_from_ions(1.0, -1.0)


def test_what_was_not_measured_stays_so() -> None:
    assert math.isnan(dgh_from_ions(math.nan, 3.0))
    kh = meq_per_l_from_dkh(np.array([4.0, math.nan]))
    np.testing.assert_allclose(kh, [1.4266, math.nan], atol=1e-4)
