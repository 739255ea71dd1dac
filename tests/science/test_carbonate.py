"""Carbon dioxide and alkalinity: ranges, refusals and how they move."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.science import carbonate
from app.science.carbonate import co2_mg_per_l
from app.science.units import n_from_no3


def test_a_ph_read_two_tenths_wrong_is_a_factor_of_1_6() -> None:
    assert co2_mg_per_l(4.0, 6.8, 25.0) / co2_mg_per_l(4.0, 7.0, 25.0) == pytest.approx(
        1.6, abs=0.02
    )


@given(kh=st.floats(1, 14), ph=st.floats(6, 8.2), celsius=st.floats(0, 50))
def test_more_buffer_or_more_acid_means_more_carbon_dioxide(
    kh: float, ph: float, celsius: float
) -> None:
    here = co2_mg_per_l(kh, ph, celsius)
    assert here > 0
    assert co2_mg_per_l(kh + 1, ph, celsius) > here
    assert co2_mg_per_l(kh, ph + 0.1, celsius) < here
    assert co2_mg_per_l(kh, ph, celsius, 0.01) < here


@pytest.mark.parametrize(
    ("kh", "ph", "celsius", "ionic_strength", "name"),
    [
        (0.99, 7.0, 25.0, 0.0, "kh_dkh"),
        (15.01, 7.0, 25.0, 0.0, "kh_dkh"),
        (4.0, 5.99, 25.0, 0.0, "ph"),
        (4.0, 8.31, 25.0, 0.0, "ph"),
        (4.0, 7.0, -0.1, 0.0, "temperature_c"),
        (4.0, 7.0, 50.1, 0.0, "temperature_c"),
        (4.0, 7.0, 25.0, 0.11, "ionic_strength"),
    ],
)
def test_outside_its_range_nothing_is_computed(
    kh: float, ph: float, celsius: float, ionic_strength: float, name: str
) -> None:
    with pytest.raises(ValueError, match=f"^{name} must be"):
        co2_mg_per_l(kh, ph, celsius, ionic_strength)


def test_what_was_not_measured_stays_so() -> None:
    assert math.isnan(co2_mg_per_l(4.0, math.nan, 25.0))
    assert math.isnan(carbonate.alkalinity_used_by_nitrification_dkh(math.nan))


def test_ionic_strength_of_tap_water() -> None:
    # rule of water chemistry textbooks (from memory): 500 uS/cm are 0.008 mol/L
    assert carbonate.ionic_strength_from_conductivity(500.0) == pytest.approx(0.008)


def test_nitrate_as_the_ion_must_be_converted_first() -> None:
    # By hand: 10 mg/L as the ion are 2.26 as N, hence 0.90 dKH; unconverted it would be 4.0.
    used = carbonate.alkalinity_used_by_nitrification_dkh(n_from_no3(10.0))
    assert used == pytest.approx(0.90, abs=0.005)
