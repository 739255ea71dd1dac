"""Free ammonia: ranges, refusals and how it moves; its tables stand in `tests/outside`."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.science.ammonia import (
    epa2013_acute,
    epa2013_chronic,
    pka,
    total_for_unionized_mg_per_l,
    unionized_fraction,
    unionized_mg_per_l,
    unionized_range,
)

PH = st.floats(6, 10)
CELSIUS = st.floats(0, 50)
TAN = st.floats(0, 10)


def test_half_is_free_where_ph_equals_pka() -> None:
    assert unionized_fraction(pka(25.0), 25.0) == pytest.approx(0.5)


def test_result_keeps_the_basis_of_the_input() -> None:
    # At so high a pH nearly all is free, and 1 mg/L as N stays 1 mg/L as N, not 1.22 as NH3.
    assert unionized_mg_per_l(1.0, 14.0, 25.0) == pytest.approx(1.0, abs=1e-4)


def test_a_tenth_of_ph_adds_a_quarter() -> None:
    # 10^0.1 = 1.259: the error of the reading outweighs that of the equation.
    assert unionized_fraction(7.1, 25.0) / unionized_fraction(7.0, 25.0) == pytest.approx(
        10**0.1, rel=0.003
    )


def test_harm_range_of_two_color_cards() -> None:
    # Total ammonia card 0.5 (neighbors 0.25 and 1.0), pH card 7.4 (7.2 to 7.6), 25 °C. By hand with
    # pKa 9.2464: 0.25 / (1 + 10^2.0464) = 0.0022 and 1.0 / (1 + 10^1.6464) = 0.0221.
    low, high = unionized_range(0.25, 1.0, 7.2, 7.6, 25.0, 25.0)

    assert low == pytest.approx(0.0022, abs=5e-5)
    assert high == pytest.approx(0.0221, abs=5e-5)


@given(
    tans=st.tuples(TAN, TAN).map(sorted),
    phs=st.tuples(PH, PH).map(sorted),
    temperatures=st.tuples(CELSIUS, CELSIUS).map(sorted),
    share=st.floats(0, 1),
)
def test_nothing_between_the_ends_lies_outside_the_range(
    tans: list[float], phs: list[float], temperatures: list[float], share: float
) -> None:
    low, high = unionized_range(*tans, *phs, *temperatures)

    tan, ph, celsius = (a + share * (b - a) for a, b in (tans, phs, temperatures))
    assert low * (1 - 1e-9) <= unionized_mg_per_l(tan, ph, celsius) <= high * (1 + 1e-9)


def test_above_the_last_color_there_is_no_highest_value() -> None:
    low, high = unionized_range(8.0, math.inf, 7.0, 7.2, 25.0, 25.0)

    assert low == pytest.approx(8.0 * unionized_fraction(7.0, 25.0))
    assert math.isinf(high)


@pytest.mark.parametrize(
    "readings",
    [(1.0, 0.5, 7.0, 7.0, 25.0, 25.0), (0.5, 1.0, 7.2, 7.0, 25.0, 25.0), (0.5, 1.0, 7, 7, 25, 24)],
)
def test_an_interval_upside_down_is_refused(
    readings: tuple[float, float, float, float, float, float],
) -> None:
    with pytest.raises(ValueError, match="must not be above"):
        unionized_range(*readings)


@given(ph=PH, celsius=st.floats(0, 49), step=st.floats(0.01, 1))
def test_warmer_or_less_acid_water_holds_more_free_ammonia(
    ph: float, celsius: float, step: float
) -> None:
    here = unionized_fraction(ph, celsius)
    assert 0 < here < unionized_fraction(ph + step, celsius) < 1
    assert here < unionized_fraction(ph, celsius + step) < 1


@pytest.mark.parametrize("celsius", [-0.01, 50.01])
def test_outside_the_fit_nothing_is_computed(celsius: float) -> None:
    with pytest.raises(ValueError, match="temperature_c must be within 0 to 50"):
        unionized_fraction(7.0, celsius)


@pytest.mark.parametrize("celsius", [0.0, 50.0])
def test_the_ends_of_the_fit_belong_to_it(celsius: float) -> None:
    assert 0 < unionized_fraction(7.0, celsius) < 1


def test_kelvin_in_place_of_celsius_is_refused() -> None:
    with pytest.raises(ValueError, match="temperature_c"):
        pka(298.15)


@pytest.mark.parametrize("ph", [-0.1, 14.1, 74.0])
def test_ph_off_the_scale_is_refused(ph: float) -> None:
    with pytest.raises(ValueError, match="ph must be within"):
        unionized_fraction(ph, 25.0)


def test_negative_ammonia_is_refused() -> None:
    with pytest.raises(ValueError, match="tan_mg_per_l"):
        unionized_mg_per_l(-0.1, 7.0, 25.0)


def test_a_reading_not_taken_gives_no_result() -> None:
    assert math.isnan(unionized_mg_per_l(0.5, math.nan, 25.0))
    fractions = unionized_fraction(np.array([8.0, math.nan]), np.array([24.0, 24.0]))
    np.testing.assert_allclose(fractions, [0.0502, math.nan], atol=6e-5)


def test_below_seven_degrees_the_chronic_criterion_no_longer_rises() -> None:
    assert epa2013_chronic(7.0, 3.0) == epa2013_chronic(7.0, 7.0)
    assert epa2013_chronic(7.0, 7.1) < epa2013_chronic(7.0, 7.0)


@pytest.mark.parametrize(("ph", "celsius"), [(6.49, 20), (9.01, 20), (7, -0.1), (7, 30.1)])
def test_criteria_stay_inside_their_tables(ph: float, celsius: float) -> None:
    with pytest.raises(ValueError, match="must be within"):
        epa2013_chronic(ph, celsius)
    with pytest.raises(ValueError, match="must be within"):
        epa2013_acute(ph, celsius)


def test_criteria_take_arrays_and_keep_gaps() -> None:
    ph, celsius = np.array([7.0, math.nan]), np.array([20.0, 20.0])
    np.testing.assert_allclose(epa2013_chronic(ph, celsius), [1.9, math.nan], atol=0.05)
    np.testing.assert_allclose(epa2013_acute(ph, celsius), [17.0, math.nan], atol=0.5)


@pytest.mark.parametrize(
    ("tan", "ph", "expected"), [(1.0, 8.0, 0.05366), (1.0, 7.5, 0.0176), (1.0, 8.5, 0.152)]
)
def test_worked_readings_at_25_degrees(tan: float, ph: float, expected: float) -> None:
    # by hand with pKa 9.2464: 1 / (1 + 10^(9.2464 - pH))
    assert unionized_mg_per_l(tan, ph, 25.0) == pytest.approx(expected, rel=0.005)


@given(ph=st.floats(6.5, 8.9), celsius=st.floats(0, 29.9))
def test_criteria_fall_with_ph_and_never_rise_with_warmth(ph: float, celsius: float) -> None:
    for criterion in (epa2013_acute, epa2013_chronic):
        here = criterion(ph, celsius)
        assert criterion(ph + 0.1, celsius) < here
        assert criterion(ph, celsius + 0.1) <= here
    assert epa2013_acute(ph, celsius, True) <= epa2013_acute(ph, celsius) * 1.0001


@pytest.mark.parametrize(
    ("free", "ph", "total"), [(0.02, 7.0, 3.55), (0.05, 7.5, 2.84), (0.10, 8.0, 1.86)]
)
def test_total_at_which_the_free_part_reaches_a_line(free: float, ph: float, total: float) -> None:
    # By hand at 25 °C: shares of 0.00564, 0.01762 and 0.05366
    assert total_for_unionized_mg_per_l(free, ph, 25.0) == pytest.approx(total, abs=0.01)


@given(free=st.floats(0, 5), ph=PH, celsius=CELSIUS)
def test_the_total_of_a_free_part_gives_it_back(free: float, ph: float, celsius: float) -> None:
    total = total_for_unionized_mg_per_l(free, ph, celsius)

    assert unionized_mg_per_l(total, ph, celsius) == pytest.approx(free)


def test_no_total_for_less_than_nothing() -> None:
    with pytest.raises(ValueError, match="unionized_mg_per_l"):
        total_for_unionized_mg_per_l(-0.01, 7.0, 25.0)
