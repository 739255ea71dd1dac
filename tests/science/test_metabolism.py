"""Outside references: published equations in their own units, and measured zebrafish."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.science import metabolism

# Body-shape means of Froese, Thorson and Reyes (2014), from memory, g and cm of total length
FUSIFORM = (0.0112, 3.04)
ELONGATED = (0.0039, 3.12)


def test_mass_of_a_grown_zebrafish() -> None:
    # Lucas and Priede (1992): grown zebrafish weigh 0.43 to 0.55 g; at 3.5 cm
    assert 0.43 < metabolism.mass_g(3.5, *FUSIFORM) < 0.55


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


def test_oxygen_use_agrees_with_the_published_mean_of_bony_fish() -> None:
    # Clarke and Johnston (1999), 50 g fish: ln R = 15.7 - 5020 / T(K), R in mmol/h; 32.0 mg/mmol
    published = math.exp(15.7 - 5.02e3 / 298.15) * 32.0
    assert metabolism.routine_oxygen_mg_per_h(50.0, 25.0) == pytest.approx(published, rel=0.01)


def test_oxygen_use_agrees_with_measured_zebrafish() -> None:
    # Lucas and Priede (1992): 0.43 to 0.55 g at 24 °C; 421 alone, 560 mg/kg/h in a group, which
    # an activity factor of 1.15 on the resting use should meet
    per_kg = metabolism.routine_oxygen_mg_per_h(0.5, 24.0) / 0.0005
    assert 421 < per_kg < 560
    assert 1.15 * per_kg == pytest.approx(560, rel=0.03)


def test_ten_degrees_double_the_use() -> None:
    # published: 1.83 among species, 2.40 within species (Clarke and Johnston 1999)
    ratio = metabolism.routine_oxygen_mg_per_h(1.0, 30.0) / metabolism.routine_oxygen_mg_per_h(
        1.0, 20.0
    )
    assert 1.83 < ratio < 2.40


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
