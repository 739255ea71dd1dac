"""A length beside a ruler in a picture, against plain geometry."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.science.picture_length import length_in_picture


def test_a_ruler_of_ten_squares_and_a_fish_of_four() -> None:
    # similar triangles: 4 of 10 equal parts of 5 cm are 2 cm, whatever way they lie
    found = length_in_picture(((0, 0), (10, 0)), 5.0, ((3, 1), (3, 5)), 0.0)
    assert (found.low, found.best, found.high) == (2.0, 2.0, 2.0)


def test_a_slanting_fish_by_the_theorem_of_pythagoras() -> None:
    # legs 3 and 4 have the hypotenuse 5 (Euclid, Elements I.47)
    found = length_in_picture(((0, 0), (0, 10)), 10.0, ((1, 1), (4, 5)), 0.0)
    assert found.best == pytest.approx(5.0)


def test_points_that_may_slip_give_a_range_worked_out_by_hand() -> None:
    # ruler 100 ± 2 for 10 cm, animal 40 ± 2: 38/102, 40/100 and 42/98 of 10 cm
    found = length_in_picture(((0, 0), (100, 0)), 10.0, ((0, 50), (40, 50)), 1.0)
    assert found.low == pytest.approx(3.7255, abs=1e-4)
    assert found.best == pytest.approx(4.0)
    assert found.high == pytest.approx(4.2857, abs=1e-4)


# an animal so small that both points may be one has no lowest length but 0
def test_a_speck_may_have_no_length() -> None:
    found = length_in_picture(((0, 0), (100, 0)), 10.0, ((5, 5), (6, 5)), 1.0)
    assert found.low == 0.0
    assert found.high > found.best > 0.0


@pytest.mark.parametrize(("second", "slip"), [((0.0, 0.0), 0.0), ((2.0, 0.0), 1.0)])
def test_a_ruler_that_may_be_one_point_tells_nothing(
    second: tuple[float, float], slip: float
) -> None:
    with pytest.raises(ValueError, match="too near"):
        length_in_picture(((0, 0), second), 5.0, ((3, 1), (3, 5)), slip)


_places = st.tuples(st.floats(-500, 500), st.floats(-500, 500))


@given(
    a=_places, b=_places, start=_places, end=_places,
    turns=st.lists(st.floats(0, math.tau), min_size=4, max_size=4),
)  # fmt: skip
def test_wherever_the_points_slip_the_length_stays_in_the_range(
    a: tuple[float, float], b: tuple[float, float], start: tuple[float, float],
    end: tuple[float, float], turns: list[float],
) -> None:  # fmt: skip
    if math.dist(a, b) < 10.0:
        return
    found = length_in_picture((a, b), 7.0, (start, end), 3.0)
    moved = [
        (p[0] + 3.0 * math.cos(turn), p[1] + 3.0 * math.sin(turn))
        for p, turn in zip((a, b, start, end), turns, strict=True)
    ]
    other = 7.0 * math.dist(moved[2], moved[3]) / math.dist(moved[0], moved[1])
    assert found.low - 1e-9 <= other <= found.high + 1e-9
