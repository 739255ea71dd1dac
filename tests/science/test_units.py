"""Outside references: scipy.constants (exact definitions) and molmass (molar masses)."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from molmass import Formula
from scipy import constants  # type: ignore[import-untyped]

from app.science import units

Conversion = Callable[[float], float]

REAL = st.floats(-400, 1e6)
ROUND_TRIPS: list[tuple[Conversion, Conversion]] = [
    (units.celsius_from_fahrenheit, units.fahrenheit_from_celsius),
    (units.celsius_difference, units.fahrenheit_difference),
    (units.liters_from_us_gallons, units.us_gallons_from_liters),
    (units.liters_from_imperial_gallons, units.imperial_gallons_from_liters),
    (units.cm_from_inches, units.inches_from_cm),
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


# Fixed points of the two scales, by definition; 77 °F is 25 °C by the same.
@pytest.mark.parametrize(
    ("f", "c"), [(-40, -40), (32, 0), (77, 25), (212, 100), (-459.67, -273.15)]
)
def test_thermometer_readings(f: float, c: float) -> None:
    assert units.celsius_from_fahrenheit(f) == pytest.approx(c)
    assert units.fahrenheit_from_celsius(c) == pytest.approx(f)


@given(f=st.floats(-400, 400))
def test_thermometer_readings_agree_with_scipy(f: float) -> None:
    expected = constants.convert_temperature(f, "Fahrenheit", "Celsius")
    assert units.celsius_from_fahrenheit(f) == pytest.approx(expected, abs=1e-9)


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


def test_volumes_and_lengths_are_the_defined_ones() -> None:
    assert units.liters_from_us_gallons(1.0) == pytest.approx(constants.gallon_US * 1e3, rel=1e-15)
    assert units.liters_from_imperial_gallons(1.0) == pytest.approx(
        constants.gallon_imp * 1e3, rel=1e-15
    )
    assert units.cm_from_inches(1.0) == pytest.approx(constants.inch * 1e2, rel=1e-15)
    # A US gallon is 231 cubic inches, by definition.
    assert units.cm_from_inches(1.0) ** 3 * 231 / 1000 == pytest.approx(
        units.liters_from_us_gallons(1.0), rel=1e-14
    )


def test_an_imperial_gallon_is_a_fifth_larger_than_a_us_gallon() -> None:
    ratio = units.liters_from_imperial_gallons(10.0) / units.liters_from_us_gallons(10.0)
    assert ratio == pytest.approx(1.20095, abs=1e-5)  # ratio of the two definitions


@pytest.mark.parametrize(
    ("as_ion", "formula"),
    [
        (units.nh3_from_n, "NH3"),
        (units.nh4_from_n, "NH4"),
        (units.no2_from_n, "NO2"),
        (units.no3_from_n, "NO3"),
    ],
)
def test_ion_factors_follow_from_molar_masses(as_ion: Conversion, formula: str) -> None:
    # molmass, an outside table of atomic masses; it and the abridged table differ by 1e-4 at most.
    assert as_ion(1.0) == pytest.approx(Formula(formula).mass / Formula("N").mass, rel=1e-4)


def test_nitrate_limits_are_published_on_both_bases() -> None:
    # WHO guideline: 50 mg/L as nitrate, 11.3 as N. US EPA: 10 mg/L as N, 44.3 as nitrate.
    assert units.n_from_no3(50.0) == pytest.approx(11.3, abs=0.05)
    assert units.no3_from_n(10.0) == pytest.approx(44.3, abs=0.05)


def test_ammonia_factor_of_the_canadian_guideline() -> None:
    # Canadian water quality guideline for ammonia: 0.8224 from NH3 to N.
    assert units.n_from_nh3(1.0) == pytest.approx(0.8224, abs=5e-5)


def test_arrays_keep_their_shape_and_their_gaps() -> None:
    nitrate = units.no3_from_n(np.array([[5.0, math.nan]]))
    np.testing.assert_allclose(nitrate, [[22.13, math.nan]], atol=0.01)
