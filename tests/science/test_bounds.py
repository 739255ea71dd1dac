import math

import numpy as np
import pytest

from app.science.bounds import clipped, require_within


def test_both_ends_are_allowed() -> None:
    require_within("ph", 0.0, 0.0, 14.0)
    require_within("ph", 14.0, 0.0, 14.0)


@pytest.mark.parametrize("ph", [-0.001, 14.001, math.inf])
def test_a_value_just_outside_is_refused_by_name(ph: float) -> None:
    with pytest.raises(ValueError, match="ph must be within 0 to 14"):
        require_within("ph", ph, 0.0, 14.0)


def test_one_element_outside_refuses_the_whole_array() -> None:
    with pytest.raises(ValueError, match="volume_l must be at least 0"):
        require_within("volume_l", np.array([1.0, -1.0]), 0.0)


def test_what_was_not_measured_passes() -> None:
    require_within("ph", math.nan, 0.0, 14.0)
    require_within("ph", np.array([math.nan, 7.0]), 0.0, 14.0)


@pytest.mark.parametrize(("value", "held"), [(-1.0, 0.0), (7.0, 7.0), (15.0, 14.0)])
def test_a_value_beyond_an_end_becomes_the_end(value: float, held: float) -> None:
    assert clipped(value, 0.0, 14.0) == held
