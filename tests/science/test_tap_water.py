"""Standing tap water: by hand, and at its edges."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.science.tap_water import hours_of_standing, left_after_standing


def test_a_day_of_standing() -> None:
    # by hand: exp(-0.035 * 24) = 0.432
    assert left_after_standing(1.0, 0.035, 24.0) == pytest.approx(0.432, abs=5e-4)
    assert left_after_standing(1.0, 0.035, 0.0) == 1.0
    assert left_after_standing(1.0, 0.0, 24.0) == 1.0


@given(start=st.floats(0.1, 8), share=st.floats(0.01, 0.99), rate=st.floats(0.001, 0.1))
def test_after_the_hours_the_end_is_reached(start: float, share: float, rate: float) -> None:
    hours = hours_of_standing(start, share * start, rate)
    assert left_after_standing(start, rate, hours) == pytest.approx(share * start)


def test_there_already_and_never() -> None:
    assert hours_of_standing(0.5, 0.5, 0.03) == 0.0
    assert hours_of_standing(0.4, 0.5, 0.03) == 0.0
    assert math.isinf(hours_of_standing(0.6, 0.5, 0.0))
    assert math.isnan(hours_of_standing(math.nan, 0.5, 0.03))


def test_nothing_is_never_reached_and_so_refused() -> None:
    with pytest.raises(ValueError, match="end_mg_per_l must be above 0"):
        hours_of_standing(1.0, 0.0, 0.03)
    with pytest.raises(ValueError, match="loss_per_hour"):
        left_after_standing(1.0, -0.03, 24.0)
    with pytest.raises(ValueError, match="hours"):
        left_after_standing(1.0, 0.03, -1.0)
