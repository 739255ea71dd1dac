"""Units: round trips, gaps and refusals."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.science import units

Conversion = Callable[[float], float]

REAL = st.floats(-400, 1e6)
ROUND_TRIPS: list[tuple[Conversion, Conversion]] = [
    (units.celsius_from_fahrenheit, units.fahrenheit_from_celsius),
    (units.celsius_difference, units.fahrenheit_difference),
    (units.liters_from_us_gallons, units.us_gallons_from_liters),
    (units.liters_from_imperial_gallons, units.imperial_gallons_from_liters),
    (units.cm_from_inches, units.inches_from_cm),
    (units.kg_from_pounds, units.pounds_from_kg),
    (units.g_from_ounces, units.ounces_from_g),
    (units.ml_from_us_fluid_ounces, units.us_fluid_ounces_from_ml),
    (units.nh3_from_n, units.n_from_nh3),
    (units.nh4_from_n, units.n_from_nh4),
    (units.no2_from_n, units.n_from_no2),
    (units.no3_from_n, units.n_from_no3),
]


@pytest.mark.parametrize(("there", "back"), ROUND_TRIPS)
@given(value=REAL)
def test_there_and_back_again(there: Conversion, back: Conversion, value: float) -> None:
    assert back(there(value)) == pytest.approx(value, rel=1e-12, abs=1e-9)


@pytest.mark.parametrize(("there", "back"), ROUND_TRIPS)
def test_what_was_not_measured_stays_so(there: Conversion, back: Conversion) -> None:
    assert math.isnan(there(math.nan))
    assert math.isnan(back(math.nan))


def test_a_swing_of_two_fahrenheit_is_not_a_reading_of_two_fahrenheit() -> None:
    # 9 °F of difference are 5 °C of difference, by definition of the degrees.
    assert units.celsius_difference(9.0) == pytest.approx(5.0)
    assert units.fahrenheit_difference(5.0) == pytest.approx(9.0)
    assert units.celsius_difference(2.0) == pytest.approx(
        units.celsius_from_fahrenheit(79.0) - units.celsius_from_fahrenheit(77.0)
    )


def test_colder_than_absolute_zero_is_refused() -> None:
    with pytest.raises(ValueError, match="temperature_f"):
        units.celsius_from_fahrenheit(-459.68)
    with pytest.raises(ValueError, match="temperature_c"):
        units.fahrenheit_from_celsius(-273.16)


def test_arrays_keep_their_shape_and_their_gaps() -> None:
    nitrate = units.no3_from_n(np.array([[5.0, math.nan]]))
    np.testing.assert_allclose(nitrate, [[22.13, math.nan]], atol=0.01)


def test_salt_by_the_liter_and_by_the_kilogram() -> None:
    # by hand: 5000 / 1003
    assert units.salt_ppt_from_g_per_l(5.0) == pytest.approx(4.985, abs=5e-4)
    assert units.salt_ppt_from_g_per_l(0.0) == 0.0
    with pytest.raises(ValueError, match="salt_g_per_l"):
        units.salt_ppt_from_g_per_l(-0.1)
    with pytest.raises(ValueError, match="salt_ppt"):
        units.salt_g_per_l_from_ppt(1000.0)


@given(g_per_l=st.floats(0, 300))
def test_salt_there_and_back(g_per_l: float) -> None:
    back = units.salt_g_per_l_from_ppt(units.salt_ppt_from_g_per_l(g_per_l))
    assert back == pytest.approx(g_per_l, rel=1e-12, abs=1e-12)
