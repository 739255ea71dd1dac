"""One number and an array give the same, and what was not measured stays so."""

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from app.science import ammonia, carbonate, elementwise, heat, metabolism, oxygen, tap_water

NAN = math.nan

# each function with one place to measure, in the middle of its range
CASES: tuple[tuple[Callable[..., Any], tuple[float, ...]], ...] = (
    (ammonia.pka, (25.0,)),
    (ammonia.unionized_fraction, (7.4, 25.0)),
    (ammonia.epa2013_chronic, (7.4, 5.0)),
    (ammonia.epa2013_chronic, (7.4, 25.0)),
    (ammonia.epa2013_acute, (7.4, 5.0)),
    (ammonia.epa2013_acute, (7.4, 25.0)),
    (carbonate.pk1, (25.0,)),
    (carbonate.pkw, (25.0,)),
    (carbonate.co2_mg_per_l, (4.0, 7.0, 25.0)),
    (heat.water_density_kg_per_m3, (25.0,)),
    (metabolism.routine_oxygen_mg_per_h, (0.5, 25.0)),
    (oxygen.vapor_pressure_atm, (25.0,)),
    (oxygen.pressure_from_altitude_atm, (500.0,)),
    (oxygen.saturation_mg_per_l, (25.0,)),
    (oxygen.percent_saturation, (7.0, 25.0)),
)


@pytest.mark.parametrize(("function", "place"), CASES)
def test_a_number_gives_a_plain_number_and_an_array_the_same_ones(
    function: Callable[..., Any], place: tuple[float, ...]
) -> None:
    one = function(*place)
    many = function(*(np.array([value, NAN, value]) for value in place))

    assert type(one) is float
    np.testing.assert_allclose(many, [one, NAN, one], rtol=1e-12)


@pytest.mark.parametrize(("function", "place"), CASES)
def test_any_argument_that_was_not_measured_gives_no_result(
    function: Callable[..., Any], place: tuple[float, ...]
) -> None:
    for missing in range(len(place)):
        assert math.isnan(function(*(NAN if i == missing else v for i, v in enumerate(place))))


def test_the_larger_and_the_smaller_of_two() -> None:
    assert elementwise.at_least(6.9, 7.0) == 7.0
    assert elementwise.at_least(7.1, 7.0) == 7.1
    assert elementwise.smaller(2.0, 1.0) == elementwise.smaller(1.0, 2.0) == 1.0
    assert math.isnan(elementwise.smaller(1.0, NAN))
    assert math.isnan(elementwise.smaller(NAN, 1.0))


def test_a_series_of_residuals_stands_as_one() -> None:
    left = tap_water.left_after_standing(np.array([1.0, NAN]), 0.04, 24.0)
    np.testing.assert_allclose(left, [math.exp(-0.96), NAN])
