"""Mass and oxygen use of fish: worked by hand, and how they move."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.science import metabolism

# Body-shape means of Froese, Thorson and Reyes (2014), from memory, g and cm of total length
FUSIFORM = (0.0112, 3.04)
ELONGATED = (0.0039, 3.12)


def test_mass_by_body_shape() -> None:
    # by hand: 0.0112 * 4^3.04 and 0.0039 * 4^3.12
    assert metabolism.mass_g(4.0, *FUSIFORM) == pytest.approx(0.76, abs=0.005)
    assert metabolism.mass_g(4.0, *ELONGATED) == pytest.approx(0.295, abs=0.005)


def test_one_long_fish_outweighs_many_short_ones() -> None:
    # at the cube of length, 8 cm against 3 cm: some twenty times
    ratio = metabolism.mass_g(8.0, *FUSIFORM) / metabolism.mass_g(3.0, *FUSIFORM)
    assert ratio == pytest.approx((8 / 3) ** 3, rel=0.05)


@pytest.mark.parametrize("b", [2.49, 3.51, 3.696])
def test_exponents_outside_the_published_span_are_refused(b: float) -> None:
    # Froese (2006): 2.5 to 3.5
    with pytest.raises(ValueError, match="b must be within"):
        metabolism.mass_g(3.5, 0.0112, b)


def test_a_fish_has_a_length() -> None:
    with pytest.raises(ValueError, match="length_cm must be above 0"):
        metabolism.mass_g(0.0, *FUSIFORM)


@given(mass_g=st.floats(0.05, 20), celsius=st.floats(10, 34))
def test_small_fish_use_less_but_more_per_gram(mass_g: float, celsius: float) -> None:
    small = metabolism.routine_oxygen_mg_per_h(mass_g, celsius)
    double = metabolism.routine_oxygen_mg_per_h(2 * mass_g, celsius)
    assert small < double < 2 * small
    assert metabolism.routine_oxygen_mg_per_h(mass_g, celsius + 1) > small


@pytest.mark.parametrize("celsius", [9.9, 35.1])
def test_temperatures_without_data_are_refused(celsius: float) -> None:
    with pytest.raises(ValueError, match="temperature_c"):
        metabolism.routine_oxygen_mg_per_h(1.0, celsius)


def test_ration_that_keeps_a_grown_fish() -> None:
    # common practice is 1 to 2 % of dry feed a day; by hand for 0.5 g at 24 °C:
    # 0.239 mg/h * 24 / 1.25 = 4.6 mg, 0.9 %
    ration = metabolism.maintenance_ration_mg_per_day(0.5, 24.0)
    assert ration == pytest.approx(4.6, abs=0.05)
    assert ration / 500 == pytest.approx(0.009, abs=0.0005)


def test_what_was_not_measured_stays_so() -> None:
    grams = metabolism.mass_g(np.array([4.0, math.nan]), *FUSIFORM)
    np.testing.assert_allclose(grams, [0.757, math.nan], atol=0.005)
    assert math.isnan(metabolism.routine_oxygen_mg_per_h(math.nan, 25.0))


# by hand: 0.449 * m^0.80 * 2.1^((T - 25) / 10)
@pytest.mark.parametrize(
    ("grams", "celsius", "mg_per_h"), [(0.5, 25.0, 0.258), (0.2, 20.0, 0.085), (5.0, 30.0, 2.358)]
)
def test_oxygen_use_by_hand(grams: float, celsius: float, mg_per_h: float) -> None:
    use = metabolism.routine_oxygen_mg_per_h(grams, celsius)
    assert use == pytest.approx(mg_per_h, abs=5e-4)
