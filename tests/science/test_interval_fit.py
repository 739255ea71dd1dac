"""Two unknowns of a course from readings that are ranges, against courses whose truth is known."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from app.science.interval_fit import BINS, Weighed, quantiles, weigh

STARTS, PACES = np.linspace(0.0, 20.0, 81), np.linspace(0.0, 2.0, 81)


def fitted(lows: list[float], highs: list[float], *, gained: list[float]) -> Weighed:
    """What readings say when nothing was taken out."""
    n = len(lows)
    return weigh(
        np.array(lows), np.array(highs), kept=np.ones(n), gained=np.array(gained),
        known=np.zeros(n), starts=STARTS, paces=PACES, off_part=np.full(n, 0.05), off_least=0.3,
    )  # fmt: skip


def test_meter_readings_on_a_line_give_its_slope() -> None:
    # 5 at the start and 1 more for each unit that came
    values = [5.0, 8.0, 11.0, 14.0, 17.0]
    low, best, high = fitted(values, values, gained=[0, 3, 6, 9, 12]).pace(0.05, 0.5, 0.95)

    assert low < 1.0 < high
    assert best == pytest.approx(1.0, abs=0.05)


def test_a_card_that_stays_on_one_color_allows_many_slopes() -> None:
    came = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0]
    card = fitted([5.0] * 6, [10.0] * 6, gained=came)
    meter = fitted([7.5] * 6, [7.5] * 6, gained=came)

    assert np.ptp(card.pace(0.05, 0.95)) > np.ptp(meter.pace(0.05, 0.95))
    # from 5 to 10 over 5 is the steepest that fits, besides what readings are off
    assert card.pace(0.95)[0] < 1.2


def test_one_wrong_reading_does_not_carry_the_rest_with_it() -> None:
    values = [5.0, 6.5, 8.0, 25.0, 11.0, 12.5, 14.0]
    slope = fitted(values, values, gained=[0, 1.5, 3, 4.5, 6, 7.5, 9]).pace(0.5)[0]

    assert slope == pytest.approx(1.0, abs=0.1)


def test_values_of_many_moments_are_those_of_each_sorted_alone() -> None:
    values = [5.0, 8.0, 11.0]
    found = fitted(values, values, gained=[0, 3, 6])
    kept, gained, known = np.array([1.0, 0.75, 0.5]), np.array([0.0, 6.0, 20.0]), np.zeros(3)

    at_once = found.values(kept, gained, known, 0.05, 0.5, 0.95)

    for row, left, brought in zip(at_once, kept, gained, strict=True):
        course = found.starts * left + found.paces * brought
        # a grid has few values, so that a quantile falls on one of them: a step of it is allowed
        step = np.ptp(course) / BINS
        assert_allclose(row, quantiles(course, found.weights, (0.05, 0.5, 0.95)), atol=2 * step)


def test_equal_values_are_told_without_a_spread() -> None:
    alone = Weighed(np.array([3.0, 3.0]), np.array([0.0, 0.0]), np.array([0.5, 0.5]))
    ones = np.ones(1)

    assert_allclose(alone.values(ones, ones, np.array([2.0]), 0.05, 0.95), 5.0)


@pytest.mark.parametrize(
    ("lows", "highs", "gained"),
    [([], [], []), ([1.0, 2.0], [1.0], [0.0, 1.0]), ([2.0], [1.0], [0.0])],
)
def test_what_is_no_set_of_readings_is_refused(
    lows: list[float], highs: list[float], gained: list[float]
) -> None:
    with pytest.raises(ValueError, match=r"readings|low end"):
        fitted(lows, highs, gained=gained)


CARD = (0.0, 5.0, 10.0, 20.0, 40.0, 80.0)
READINGS = st.lists(
    st.tuples(st.floats(0.0, 40.0), st.floats(0.0, 20.0), st.booleans()), min_size=1, max_size=8
)


def by_card(value: float) -> tuple[float, float]:
    """The two colors between which a value lies; above the last one there is no end."""
    above = next((color for color in CARD if color > value), math.inf)
    return max(color for color in CARD if color <= value), above


@settings(max_examples=30, deadline=None)
@given(readings=READINGS)
def test_weights_are_shares_of_one_whatever_was_read(
    readings: list[tuple[float, float, bool]],
) -> None:
    ends = [(low, math.inf if is_open else low + width) for low, width, is_open in readings]
    lows, highs = (list(side) for side in zip(*ends, strict=True))
    found = fitted(lows, highs, gained=[float(n) for n in range(len(ends))])

    assert found.weights.sum() == pytest.approx(1.0)
    assert (found.weights >= 0.0).all()
    assert found.starts.shape == found.paces.shape == found.weights.shape


@settings(max_examples=30, deadline=None)
@given(readings=READINGS)
def test_low_lies_below_best_and_best_below_high(readings: list[tuple[float, float, bool]]) -> None:
    lows = [low for low, _, _ in readings]
    highs = [low + width for low, width, _ in readings]
    low, best, high = fitted(lows, highs, gained=[2.0 * n for n in range(len(lows))]).pace(
        0.05, 0.5, 0.95
    )

    assert low <= best <= high


def mean_width(count: int, *, card: bool) -> float:
    """Mean width of the range of the pace over forty courses of so many readings."""
    random, widths = np.random.default_rng(5), []
    for _ in range(40):
        start, pace = random.uniform(2.0, 15.0), random.uniform(0.2, 1.8)
        came = [2.0 * n for n in range(count)]
        seen = [(start + pace * by) * random.normal(1.0, 0.05) for by in came]
        ends = [by_card(value) if card else (value, value) for value in seen]
        found = fitted([low for low, _ in ends], [high for _, high in ends], gained=came)
        widths.append(np.ptp(found.pace(0.05, 0.95)))
    return float(np.mean(widths))


@pytest.mark.parametrize("card", [True, False], ids=["card", "meter"])
def test_more_readings_tell_more(card: bool) -> None:
    widths = [mean_width(count, card=card) for count in (2, 4, 8)]

    assert widths == sorted(widths, reverse=True)
    assert widths[0] > 1.5 * widths[-1]


def test_card_ranges_hold_the_true_pace_as_often_as_they_say() -> None:
    # two hundred invented courses of known pace: 0.9 promised; ranges of colors may promise less
    random, held = np.random.default_rng(6), 0
    for _ in range(200):
        start, pace = random.uniform(2.0, 15.0), random.uniform(0.2, 1.8)
        came = [2.0 * n for n in range(6)]
        ends = [by_card((start + pace * by) * random.normal(1.0, 0.05)) for by in came]
        found = fitted([low for low, _ in ends], [high for _, high in ends], gained=came)
        low, high = found.pace(0.05, 0.95)
        held += low <= pace <= high

    assert 0.85 <= held / 200 <= 0.99


def test_a_card_beyond_its_last_color_sets_no_upper_end() -> None:
    """Two readings at or above 10 after 8: nothing speaks against the fastest pace tried."""
    found = fitted([8.0, 10.0, 10.0], [8.0, math.inf, math.inf], gained=[0.0, 5.0, 10.0])
    low, high = found.pace(0.05, 0.95)

    assert low > 0.0
    assert high == pytest.approx(PACES[-1], abs=0.15)


def test_a_slip_moves_the_middle_by_less_than_it_moves_least_squares() -> None:
    came = np.array([0.0, 1.5, 3.0, 4.5, 6.0, 7.5, 9.0])
    values = 5.0 + came
    slipped = values.copy()
    slipped[-1] *= 3.0
    ours = fitted(list(slipped), list(slipped), gained=list(came)).pace(0.5)[0]
    squares = np.polyfit(came, slipped, 1)[0]

    assert squares > 2.0  # the true slope is 1
    assert ours == pytest.approx(1.0, abs=0.2)


def test_what_was_likely_before_stays_so_where_a_reading_tells_nothing() -> None:
    before = np.exp(-0.5 * ((PACES - 1.2) / 0.1) ** 2)
    found = weigh(
        np.array([8.0]), np.array([8.0]), kept=np.ones(1), gained=np.zeros(1), known=np.zeros(1),
        starts=STARTS, paces=PACES, pace_weights=before, off_part=np.zeros(1), off_least=0.3,
    )  # fmt: skip

    # nine in ten of a normal distribution lie within 1.645 of its standard deviations
    assert found.pace(0.05, 0.5, 0.95) == pytest.approx((1.04, 1.2, 1.36), abs=0.03)


def test_quantiles_may_be_without_an_end() -> None:
    values, weights = [3.0, math.inf, 1.0, 2.0], np.array([0.3, 0.3, 0.2, 0.2])

    assert quantiles(values, weights, (0.1, 0.5, 0.95)) == (1.0, 3.0, math.inf)
