"""Smoothing by hand, and what is no weight."""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from app.science.smoothing import smoothed


def test_half_of_each_step_by_hand() -> None:
    # 20; 20 + 2 / 2; 21 + 3 / 2; 22.5 - 2.5 / 2
    assert_allclose(smoothed(np.array([20.0, 22.0, 24.0, 20.0]), 0.5), [20.0, 21.0, 22.5, 21.25])


def test_with_all_the_weight_the_newest_reading_stands() -> None:
    values = np.array([20.0, 22.0, 19.0])

    assert_allclose(smoothed(values, 1.0), values)


@pytest.mark.parametrize("weight", [0.0, -0.1, 1.1, math.inf])
def test_what_is_no_weight(weight: float) -> None:
    with pytest.raises(ValueError, match="weight"):
        smoothed(np.array([20.0]), weight)


def test_nothing_is_not_smoothed() -> None:
    with pytest.raises(ValueError, match="a reading"):
        smoothed(np.array([]), 0.5)
