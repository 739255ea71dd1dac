"""Trends and gaps: what a card can tell, and what readings allow one to say."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.science import series
from app.science.series import Direction, direction

NAN = math.nan
READING = st.floats(-100, 100).map(lambda value: round(value, 3))
STEPS = [0.0, 5.0, 10.0, 20.0, 40.0, 80.0]


def card(*colors: float) -> tuple[list[float], list[float]]:
    """Nitrate colors as intervals from the neighbor below to the neighbor above."""
    places = [STEPS.index(color) for color in colors]
    return (
        [STEPS[max(place - 1, 0)] for place in places],
        [STEPS[place + 1] if place + 1 < len(STEPS) else math.inf for place in places],
    )


def test_one_unchanged_value_that_fits_all_means_nobody_can_tell() -> None:
    assert direction(*card(10, 10, 20, 10, 20)) == "can't tell"


def test_no_single_value_fits_a_series_that_climbs_the_card() -> None:
    assert direction(*card(5, 10, 20, 40)) == "up"
    assert direction(*card(40, 20, 10, 5)) == "down"


def test_neighboring_colors_are_no_change_and_touching_ends_are_none_either() -> None:
    assert direction(*card(10, 20)) is Direction.CANT_TELL
    assert direction(*card(5, 20)) is Direction.CANT_TELL  # both may be exactly 10
    assert direction(*card(5, 40)) is Direction.UP  # 0 to 10, then 20 to 80


def test_a_rise_and_a_fall_are_no_direction() -> None:
    assert direction(*card(5, 40, 5)) is Direction.CANT_TELL


def test_above_the_last_color_still_counts_as_high() -> None:
    assert direction(*card(10, 80)) is Direction.UP


def test_equal_colors_leave_room_for_a_change() -> None:
    assert direction(*card(10, 10, 10)) is Direction.CANT_TELL


def test_steady_is_only_what_could_not_have_moved() -> None:
    # a thermometer of 0.1 °C: 24.9, 25.0, 25.1 lie within 24.8 to 25.2
    lows, highs = [24.8, 24.9, 25.0], [25.0, 25.1, 25.2]
    assert direction(lows, highs, steady_within=0.41) is Direction.STEADY
    assert direction(lows, highs, steady_within=0.39) is Direction.CANT_TELL
    assert direction([7.0, 7.0], [7.0, 7.0]) is Direction.STEADY


def test_a_sure_but_tiny_rise_is_steady_where_it_means_nothing() -> None:
    assert direction([25.0, 25.2], [25.0, 25.2], steady_within=0.5) is Direction.STEADY
    assert direction([25.0, 25.2], [25.0, 25.2]) is Direction.UP


@pytest.mark.parametrize("lows", [[], [10.0], [10.0, NAN]])
def test_one_reading_has_no_direction(lows: list[float]) -> None:
    assert direction(lows, lows) is Direction.CANT_TELL


def test_a_reading_not_taken_changes_nothing() -> None:
    assert direction([0.0, NAN, 20.0], [10.0, NAN, 80.0]) is Direction.UP


def test_an_interval_upside_down_is_refused() -> None:
    with pytest.raises(ValueError, match="low end"):
        direction([10.0, 20.0], [20.0, 10.0])
    with pytest.raises(ValueError, match="same length"):
        direction([10.0, 20.0], [20.0])


@given(st.lists(st.tuples(READING, st.floats(0, 30)), min_size=2, max_size=12))
def test_direction_agrees_with_comparing_every_pair(readings: list[tuple[float, float]]) -> None:
    lows = [low for low, _ in readings]
    highs = [low + width for low, width in readings]
    pairs = [(i, j) for j in range(len(lows)) for i in range(j)]
    rose = any(lows[j] > highs[i] for i, j in pairs)
    fell = any(highs[j] < lows[i] for i, j in pairs)

    said = direction(lows, highs)

    assert (said is Direction.UP) == (rose and not fell)
    assert (said is Direction.DOWN) == (fell and not rose)
    if max(lows) <= min(highs):
        assert said in {Direction.CANT_TELL, Direction.STEADY}


def test_one_wild_reading_does_not_move_the_slope() -> None:
    assert series.robust_slope([0, 1, 2, 3, 4, 5, 6], [0, 1, 2, 99, 4, 5, 6]) == pytest.approx(1.0)


def test_a_slope_needs_two_times() -> None:
    assert math.isnan(series.robust_slope([], []))
    assert math.isnan(series.robust_slope([1.0], [3.0]))
    assert math.isnan(series.robust_slope([1.0, 1.0], [3.0, 4.0]))
    assert math.isnan(series.robust_slope([1.0, 2.0], [3.0, NAN]))
    assert series.robust_slope([1.0, 2.0, 3.0], [3.0, NAN, 5.0]) == pytest.approx(1.0)


@pytest.mark.parametrize("count", [200, 201, 20_000])
def test_a_logger_of_any_length_has_a_slope(count: int) -> None:
    times = np.arange(float(count))
    assert series.robust_slope(times, 3 * times) == pytest.approx(3.0)


def test_a_long_series_in_any_order_is_thinned_in_the_order_of_time() -> None:
    times = np.random.default_rng(1).permutation(5000).astype(float)
    values = 2 * times
    values[:50] = 1e6  # a probe that fell out of the water
    assert series.robust_slope(times, values) == pytest.approx(2.0, rel=0.01)


def test_the_interval_lies_around_the_slope_and_grows_with_its_confidence() -> None:
    # by hand: 0, 1, 2, 9, 4 at 0 to 4; slopes sorted -5, 1, 1, 1, 1, 1, 2.33, 3, 4, 7
    times, values = [0, 1, 2, 3, 4], [0, 1, 2, 9, 4]
    narrow = series.slope_interval(times, values, confidence=0.5)
    wide = series.slope_interval(times, values, confidence=0.95)
    assert narrow.middle == wide.middle == series.robust_slope(times, values) == 1.0
    assert wide.low <= narrow.low <= 1.0 <= narrow.high <= wide.high
    assert (wide.low, wide.high) == (-5.0, 7.0)


def test_without_a_slope_there_is_no_interval() -> None:
    slope = series.slope_interval([1.0, 1.0], [2.0, 3.0])
    assert all(math.isnan(end) for end in (slope.low, slope.middle, slope.high))


@pytest.mark.parametrize("confidence", [0.49, 1.0, 90.0])
def test_confidence_is_a_share(confidence: float) -> None:
    with pytest.raises(ValueError, match="confidence"):
        series.slope_interval([1.0, 2.0], [1.0, 2.0], confidence=confidence)


def test_a_gap_is_longer_than_the_largest_spacing() -> None:
    assert series.gaps([0.0, 7.0, 14.0], 7.0) == []
    assert series.gaps([0.0, 7.0, 14.1, 15.0, 30.0], 7.0) == [(7.0, 14.1), (15.0, 30.0)]
    assert series.gaps([], 7.0) == []
    assert series.gaps([3.0, 3.0], 7.0) == []


@pytest.mark.parametrize("times", [[2.0, 1.0], [1.0, NAN]])
def test_gaps_need_times_in_order(times: list[float]) -> None:
    with pytest.raises(ValueError, match="rising order"):
        series.gaps(times, 7.0)


def test_a_gap_needs_a_spacing() -> None:
    with pytest.raises(ValueError, match="largest_spacing"):
        series.gaps([1.0, 2.0], 0.0)


@pytest.mark.parametrize("window", [0, 2, -1])
def test_a_window_has_a_middle(window: int) -> None:
    with pytest.raises(ValueError, match="odd number"):
        series.rolling_median([1.0, 2.0], window)


def test_worked_example_of_the_median_absolute_deviation() -> None:
    # A general encyclopedia: of 1, 1, 2, 2, 4, 6, 9 the median is 2 and the deviation 1.
    got = series.distance_from_history(4.0, [1, 1, 2, 2, 4, 6, 9], resolution=0.1)
    assert got == pytest.approx(2 / 1.4826)


def test_equal_readings_do_not_make_the_next_one_wild() -> None:
    history = [25.0] * 10
    assert series.distance_from_history(25.1, history, resolution=0.1) == pytest.approx(1.0)
    assert series.distance_from_history(24.8, history, resolution=0.1) == pytest.approx(-2.0)


def test_two_readings_are_no_history() -> None:
    assert math.isnan(series.distance_from_history(5.0, [4.0, NAN, 6.0], resolution=1.0))
    assert series.distance_from_history(5.0, [4.0, 5.0, 6.0], resolution=1.0) == 0.0
    assert math.isnan(series.distance_from_history(NAN, [4.0, 5.0, 6.0], resolution=1.0))
    with pytest.raises(ValueError, match="resolution"):
        series.distance_from_history(5.0, [4.0, 5.0, 6.0], resolution=0.0)
