"""Hardness and alkalinity: charges and ions, round trips, refusals."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.science.hardness import HardnessUnit as Unit
from app.science.hardness import convert, dgh_from_ions, meq_per_l_from_dkh


def test_alkalinity_counts_charges_and_hardness_counts_ions() -> None:
    # 1 dH is 0.357 meq/L but 0.178 mmol/L: mixing the two is a factor of two.
    assert meq_per_l_from_dkh(2.8) == pytest.approx(1.0, abs=0.002)
    assert convert(5.61, Unit.GERMAN_DEGREE, Unit.MMOL_PER_L) == pytest.approx(1.0, abs=0.001)
    assert convert(1.0, Unit.MMOL_PER_L, Unit.MEQ_PER_L) == pytest.approx(2.0)


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
